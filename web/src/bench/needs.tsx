import { useState } from 'preact/hooks';
import type { OutboxRow, RefusedRow } from '../live/db.ts';
import type { Disagreement } from '../live/overtaken.ts';
import { act, outbox, personName, putAway, sendAnyway, tryAgain } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Finding } from '../parts/finding.tsx';
import { Words } from '../parts/fraction.tsx';
import { me } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { sayFinding } from './item-bar.tsx';
import { KeptWords } from './kept-words.tsx';
import { places } from './places.ts';
import { print } from './printed.tsx';
import { when } from './when.ts';

/** Something the rules turned back: what, why, and what its author can do with it. */
export function TurnedBackCard({ row }: { row: RefusedRow }) {
  const { command, findings } = row;
  // A job that is no longer this person's takes no note of theirs either.
  const noted =
    command.note === undefined &&
    command.item_id !== undefined &&
    !findings.some(({ code }) => code === 'job_gone');
  // Off the job, it takes notes and nothing else: there is nothing to put right there.
  const off = findings.some(({ code }) => code === 'item_gone');
  const why = findings.map(({ sentence, code }) => sentence ?? code).join(' ');
  const asNote = (
    <Button
      kind={off ? 'main' : 'line'}
      onPress={() =>
        void act(
          'note',
          { job: row.job_id, item: command.item_id ?? '' },
          { text: inWords(row, why).slice(0, 1000) },
          { said: row.said, onKept: () => putAway(row.id) },
        )
      }
    >
      {t('needs.note')}
    </Button>
  );
  return (
    <li class="need">
      <p class="need-what">
        <KeptWords kept={row} />
      </p>
      <p class="quiet">
        {when(command.at)}. {t(`needs.refused.${row.by}`)}
      </p>
      {findings.map((finding) => (
        <Finding key={`${finding.code} ${finding.about ?? ''}`} {...sayFinding(finding)} />
      ))}
      <div class="need-acts">
        {noted && off && asNote}
        {command.item_id !== undefined && !off && (
          <a
            class="button button-main"
            href={places.item(row.job_id, command.item_id, stageOf(row))}
            onClick={() => putAway(row.id)}
          >
            {t('needs.fix')}
          </a>
        )}
        {row.by === 'phone' ? (
          <Button onPress={() => void sendAnyway(row)}>{t('needs.anyway')}</Button>
        ) : (
          <Button onPress={() => void tryAgain(row)}>{t('needs.again')}</Button>
        )}
        {noted && !off && asNote}
        <TakeAlong text={inWords(row, why)} />
        <Button kind="quiet" onPress={() => putAway(row.id)}>
          {t('needs.away')}
        </Button>
      </div>
    </li>
  );
}

/** What could not be sent although the service was there. */
export function StuckCard(props: { row: OutboxRow; onDrop: () => void }) {
  const { row } = props;
  return (
    <li class="need">
      <p class="need-what">
        <KeptWords kept={row} />
      </p>
      <p class="quiet">
        {when(row.command.at)}. {t('needs.stuck')}
      </p>
      <p class="unsent-why">
        <Words>{row.stuck ?? ''}</Words>
      </p>
      <div class="need-acts">
        <Button kind="main" onPress={() => void outbox.retry()}>
          {t('action.tryAgain')}
        </Button>
        <TakeAlong text={inWords(row, row.stuck ?? '')} />
        <Button kind="quiet" onPress={props.onDrop}>
          {t('unsent.drop')}
        </Button>
      </div>
    </li>
  );
}

/** Two takes too far apart: both stand here, and a person says which is right. */
export function ApartCard({ job, item, reading }: Disagreement) {
  return (
    <li class="need">
      <p class="need-what">{t('needs.apart', { item: item.name, reading: reading.label })}</p>
      <p class="quiet">{t('needs.apart.more')}</p>
      <ul class="takes">
        {(reading.takes ?? []).map((take) => (
          <li key={take.command_id} class="take">
            <span class="take-value number">
              <Words>{take.text}</Words>
            </span>
            <span class="quiet">
              {personName(take.person_id)}, {when(take.at)}
            </span>
            <Button
              name={`${t('take.choose')}: ${take.text}`}
              onPress={() =>
                void act(
                  'choose_take',
                  reading.of_room === true ? { job, room: item.room_id } : { job, item: item.id },
                  { reading: reading.name, take_id: take.command_id },
                  { said: t('said.choose', { item: item.name, reading: reading.label }) },
                )
              }
            >
              {t('take.choose')}
            </Button>
          </li>
        ))}
      </ul>
      <div class="need-acts">
        <a class="button button-line" href={places.item(job, item.id, 'measured')}>
          {t('needs.again.tape')}
        </a>
      </div>
    </li>
  );
}

/** The words of something, to take elsewhere: to the lead by whatever the phone has, or copied. */
function TakeAlong({ text }: { text: string }) {
  const [copied, setCopied] = useState(false);
  const shares = typeof navigator.share === 'function';
  return (
    <Button
      onPress={() => {
        if (shares) {
          navigator.share({ text }).catch(() => undefined);
          return;
        }
        navigator.clipboard?.writeText(text).then(
          () => setCopied(true),
          () => undefined,
        );
      }}
    >
      {shares ? t('needs.share') : copied ? t('needs.copied') : t('needs.copy')}
    </Button>
  );
}

function inWords(row: OutboxRow | RefusedRow, why: string): string {
  const value = row.nm === undefined ? '' : `: ${print(row.nm, me().unit)}`;
  return t('needs.note.text', { said: row.said + value, when: when(row.command.at), why }).trim();
}

/** Where on the item the thing was tried, so that its author lands there. */
function stageOf({ command }: RefusedRow) {
  if (command.tick_stage !== undefined) return command.tick_stage.stage;
  if (command.reopen_stage !== undefined) return command.reopen_stage.stage;
  switch (command.kind) {
    case 'take_reading':
    case 'choose_take':
      return 'measured';
    case 'log_fasteners':
      return 'nailed';
    case 'treat_holes':
    case 'sand':
      return 'filled';
    case 'log_gap':
      return 'caulked';
    case 'log_coat':
      return 'painted';
    default:
      return undefined;
  }
}

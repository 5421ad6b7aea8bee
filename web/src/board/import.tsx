import { useEffect, useState } from 'preact/hooks';
import { Refusal } from '../api/refusal.ts';
import { pullJob } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { t } from '../words/words.ts';
import {
  type Asked,
  asking,
  door,
  type SchedulePreview,
  type ScheduleRow,
  type ScheduleSheet,
  type SetUpOutcome,
  type Template,
} from './door.ts';
import { useJob } from './following.ts';
import { JobFrame, jobHref } from './job-frame.tsx';
import { asCsv, base64, mostBytes } from './table-text.ts';
import './import.css';

/** What is asked for: the table and how to read it. The id stays while the request is the same. */
interface Ask {
  readonly sheet: ScheduleSheet;
  readonly asked: Asked;
}

/** A door-and-window schedule: pasted or chosen, read, mended, and added to the job whole. */
export function ImportScreen({ job }: { job: string }) {
  const { shown } = useJob(job);
  const [text, setText] = useState('');
  const [ask, setAsk] = useState<Ask | null>(null);
  const [preview, setPreview] = useState<SchedulePreview | null>(null);
  const [refused, setRefused] = useState<string | null>(null);
  const [busy, setBusy] = useState(false);
  const [done, setDone] = useState<SetUpOutcome | null>(null);
  const [templates, setTemplates] = useState<readonly Template[]>([]);
  const [mending, setMending] = useState<ReadonlyMap<string, string>>(new Map());

  useEffect(() => {
    door.templates().then(
      (list) => setTemplates(list.filter(({ kind }) => kind === 'trim')),
      () => undefined, // the schedule is read without
    );
  }, []);

  const tell = (cause: unknown) =>
    setRefused(cause instanceof Refusal ? cause.sentence : t('import.offline'));

  const look = async ({ template_id, ...rest }: ScheduleSheet) => {
    const sheet = template_id ? { ...rest, template_id } : rest;
    setBusy(true);
    setRefused(null);
    try {
      setPreview(await door.preview(job, sheet));
      setAsk({ sheet, asked: asking() });
      setMending(new Map());
    } catch (cause) {
      tell(cause);
    }
    setBusy(false);
  };

  const choose = async (file: File | undefined) => {
    if (file === undefined) return;
    if (file.size > mostBytes) {
      setRefused(t('import.large', { size: Math.ceil(file.size / 1e6) }));
      return;
    }
    await look({ sheet: base64(new Uint8Array(await file.arrayBuffer())) });
  };

  const take = async () => {
    if (ask === null) return;
    setBusy(true);
    setRefused(null);
    try {
      setDone(await door.take(job, ask.asked, ask.sheet));
      void pullJob(job);
    } catch (cause) {
      tell(cause);
    }
    setBusy(false);
  };

  /** Reads again with something said otherwise, or rows changed. */
  const again = (how: Partial<ScheduleSheet>, without?: ScheduleRow) => {
    if (preview === null || ask === null) return;
    const names = preview.named ? [preview.columns.map(({ name = '' }) => name)] : [];
    const rows = preview.rows
      .filter((row) => row !== without)
      .map((row) =>
        preview.columns.map((_, at) => mending.get(`${row.line} ${at}`) ?? row.cells[at] ?? ''),
      );
    void look({
      ...ask.sheet,
      columns: preview.columns.map(({ field }) => field),
      named: preview.named,
      ...how,
      sheet: base64(asCsv([...names, ...rows])),
    });
  };

  return (
    <JobFrame
      job={job}
      here="set-up"
      title={t('import.title')}
      state={shown.view?.name}
      back={{ href: jobHref(job, 'set-up'), label: t('board.place.set-up') }}
    >
      <div class="import">
        {done !== null ? (
          <Done
            job={job}
            done={done}
            onAnother={() => {
              setDone(null);
              setPreview(null);
              setAsk(null);
              setText('');
            }}
          />
        ) : preview === null ? (
          <>
            <p class="import-lead">{t('import.lead')}</p>
            <Field
              label={t('import.paste')}
              hint={t('import.paste.hint')}
              tall
              value={text}
              onInput={setText}
              {...(refused === null ? {} : { refused })}
            />
            <div class="import-ways">
              <Button
                kind="main"
                disabled={busy || text.trim() === ''}
                onPress={() => void look({ sheet: base64(new TextEncoder().encode(text)) })}
              >
                {t('import.read')}
              </Button>
              <label class="import-file">
                <input
                  type="file"
                  class="unseen"
                  accept=".csv,.tsv,.txt,text/csv,text/plain,text/tab-separated-values"
                  onChange={(event) => {
                    void choose(event.currentTarget.files?.[0]);
                    event.currentTarget.value = '';
                  }}
                />
                <span class="button button-line">{t('import.file')}</span>
              </label>
            </div>
          </>
        ) : (
          <>
            <HowRead
              preview={preview}
              sheet={ask?.sheet}
              templates={templates}
              onChange={(how) => again(how)}
            />
            <Sum preview={preview} />
            {preview.rows
              .filter(({ state }) => state === 'bad')
              .slice(0, 20)
              .map((row) => (
                <BadRow
                  key={row.line}
                  row={row}
                  preview={preview}
                  mending={mending}
                  onMend={(at, value) =>
                    setMending(new Map(mending).set(`${row.line} ${at}`, value))
                  }
                  onAgain={() => again({})}
                  onLeave={() => again({}, row)}
                />
              ))}
            <div class="import-do">
              {preview.new_items === 0 && preview.bad === 0 && preview.wrong.length === 0 && (
                <p>{t('import.nothing')}</p>
              )}
              <Button
                kind="main"
                disabled={
                  busy || preview.bad > 0 || preview.wrong.length > 0 || preview.new_items === 0
                }
                onPress={() => void take()}
              >
                {t('import.do', { count: preview.new_items })}
              </Button>
              <Button
                kind="quiet"
                onPress={() => {
                  setPreview(null);
                  setAsk(null);
                }}
              >
                {t('import.another')}
              </Button>
            </div>
            {refused !== null && <Notice kind="refused" slim sentence={refused} />}
            <Rows preview={preview} />
          </>
        )}
        <p role="status" class="unseen">
          {busy ? t('import.reading') : ''}
        </p>
      </div>
    </JobFrame>
  );
}

interface DoneProps {
  readonly job: string;
  readonly done: SetUpOutcome;
  readonly onAnother: () => void;
}

function Done({ job, done, onAnother }: DoneProps) {
  return (
    <Notice
      kind="empty"
      sentence={t('import.done', { first: done.first_seq, last: done.last_seq })}
      {...(done.repeated ? { more: t('import.done.repeated') } : {})}
    >
      <a class="button button-main" href={jobHref(job)}>
        {t('import.done.board')}
      </a>
      <Button onPress={onAnother}>{t('import.another')}</Button>
    </Notice>
  );
}

interface HowReadProps {
  readonly preview: SchedulePreview;
  readonly sheet: ScheduleSheet | undefined;
  readonly templates: readonly Template[];
  readonly onChange: (how: Partial<ScheduleSheet>) => void;
}

/** What each column is taken for, and what stands in for what the table leaves unsaid. */
function HowRead({ preview, sheet, templates, onChange }: HowReadProps) {
  const choose = (at: number, field: string) =>
    onChange({
      columns: preview.columns.map((column, index) => (index === at ? field : column.field)),
    });
  return (
    <section class="import-how" aria-labelledby="import-columns">
      <h2 id="import-columns">{t('import.columns')}</h2>
      {preview.wrong.map((sentence) => (
        <Notice key={sentence} kind="refused" slim sentence={sentence} />
      ))}
      <ul class="import-columns">
        {preview.columns.map((column, at) => {
          const called = column.name || t('import.column', { number: at + 1 });
          const sample = preview.rows.find(({ cells }) => (cells[at] ?? '') !== '')?.cells[at];
          return (
            <li key={`${at}-${column.name ?? ''}`}>
              <label>
                <span class="import-called">{called}</span>
                <select
                  value={column.field}
                  onChange={(event) => choose(at, event.currentTarget.value)}
                >
                  <option value="">{t('import.column.pass')}</option>
                  {preview.fields.map(({ field, label }) => (
                    <option key={field} value={field}>
                      {label}
                    </option>
                  ))}
                </select>
              </label>
              <span class="import-sample">{sample}</span>
            </li>
          );
        })}
      </ul>
      <label class="import-named">
        <input
          type="checkbox"
          checked={preview.named}
          onChange={(event) => onChange({ named: event.currentTarget.checked })}
        />
        <span>{t('import.named')}</span>
      </label>
      <Choice
        label={t('import.unit')}
        labelShown
        value={preview.unit}
        options={[
          { value: 'in', label: t('newJob.inches') },
          { value: 'mm', label: t('newJob.millimeters') },
        ]}
        onChoose={(unit) => onChange({ unit })}
      />
      {templates.length > 0 && (
        <label class="import-trim">
          <span>{t('import.trim')}</span>
          <select
            value={sheet?.template_id ?? ''}
            onChange={(event) => onChange({ template_id: event.currentTarget.value })}
          >
            <option value="">{t('import.trim.common')}</option>
            {templates.map(({ id, name }) => (
              <option key={id} value={id}>
                {name}
              </option>
            ))}
          </select>
        </label>
      )}
    </section>
  );
}

function Sum({ preview }: { preview: SchedulePreview }) {
  return (
    <p class="import-sum" role="status">
      {t('import.sum', { count: preview.new_items })}{' '}
      {preview.new_rooms > 0 && t('import.sum.rooms', { count: preview.new_rooms })}{' '}
      {preview.there > 0 && t('import.sum.there', { count: preview.there })}{' '}
      {preview.bad > 0 && <b>{t('import.sum.bad', { count: preview.bad })}</b>}
    </p>
  );
}

interface BadRowProps {
  readonly row: ScheduleRow;
  readonly preview: SchedulePreview;
  readonly mending: ReadonlyMap<string, string>;
  readonly onMend: (column: number, value: string) => void;
  readonly onAgain: () => void;
  readonly onLeave: () => void;
}

/** A row that cannot be taken: what is wrong, its cells to mend, or the way to leave it out. */
function BadRow({ row, preview, mending, onMend, onAgain, onLeave }: BadRowProps) {
  const line = t('import.line', { line: row.line });
  const problems = row.problems ?? [];
  const columns = preview.columns
    .map((column, at) => ({ ...column, at }))
    .filter(({ field, at }) => field !== '' && problems.some(({ column }) => column === at));
  const words = row.cells.filter((cell) => cell !== '').join(' · ');
  return (
    <section class="import-bad" aria-label={line}>
      <p class="import-line">
        <b>{line}</b> <bdi>{words}</bdi>
      </p>
      {columns.map(({ field, at }) => (
        <Field
          key={at}
          label={preview.fields.find((each) => each.field === field)?.label ?? field}
          value={mending.get(`${row.line} ${at}`) ?? row.cells[at] ?? ''}
          refused={problems
            .filter(({ column }) => column === at)
            .map(({ sentence }) => sentence)
            .join(' ')}
          onInput={(value) => onMend(at, value)}
          onEnter={onAgain}
        />
      ))}
      {problems
        .filter(({ column }) => !columns.some(({ at }) => at === column))
        .map(({ sentence }) => (
          <Notice key={sentence} kind="refused" slim sentence={sentence} />
        ))}
      <div class="import-ways">
        <Button name={`${t('import.again')}, ${line}`} onPress={onAgain}>
          {t('import.again')}
        </Button>
        <Button kind="quiet" name={`${t('import.leaveOut')}, ${line}`} onPress={onLeave}>
          {t('import.leaveOut')}
        </Button>
      </div>
    </section>
  );
}

/** The whole table, with what becomes of each row. */
function Rows({ preview }: { preview: SchedulePreview }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a box that scrolls sideways has to be reached by keyboard
    <section class="import-rows" tabIndex={0} aria-label={t('import.rows')}>
      <table>
        <caption>{t('import.rows')}</caption>
        <thead>
          <tr>
            <th scope="col">{t('import.state')}</th>
            {preview.columns.map(({ name, field }, at) => (
              <th scope="col" key={`${at}-${field}`}>
                {preview.fields.find((each) => each.field === field)?.label ??
                  name ??
                  t('import.column', { number: at + 1 })}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {preview.rows.map((row) => (
            <tr key={row.line} class={`import-${row.state}`}>
              <th scope="row">
                {row.state === 'new' && row.says !== undefined ? (
                  <Words>{row.says}</Words>
                ) : (
                  t(`import.state.${row.state}`)
                )}
              </th>
              {preview.columns.map((column, at) => (
                <td key={`${at}-${column.field}`}>
                  <bdi>{row.cells[at] ?? ''}</bdi>
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
}

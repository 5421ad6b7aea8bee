import { useEffect, useState } from 'preact/hooks';
import { api } from '../api/client.ts';
import { Refusal } from '../api/refusal.ts';
import { pullItem, pullJob } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { Tape } from '../parts/tape.tsx';
import { rulebook } from '../rulebook/load.ts';
import { session } from '../sign-in/session.ts';
import { choiceName, ruleName, t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { useItem, useJob } from './following.ts';
import {
  basisOf,
  grouped,
  type Place,
  placeOf,
  type Rule,
  type RuleHere,
  rulesHere,
  unsourced,
  withRule,
} from './house-rules.ts';
import { JobFrame, jobHref } from './job-frame.tsx';
import { printFine } from './print-fine.ts';
import { roomAt } from './standing.ts';
import { Stale, Standstill } from './standstill.tsx';
import './rules.css';

export interface RulesScreenProps {
  readonly job: string;
  readonly room?: string;
  readonly item?: string;
}

type Table = {
  readonly rules?: readonly Rule[];
  readonly offline?: boolean;
  readonly gone?: string;
};

/** The house rules in force in a job, a room or an opening, and which of them are its own. */
export function RulesScreen(props: RulesScreenProps) {
  const { shown } = useJob(props.job);
  const asked = useItem(props.job, props.item ?? null);
  const [table, again] = useTable();
  const job = shown.view;
  const item = asked.view;
  const room = job === undefined ? undefined : roomAt(job, props.room ?? item?.room_id ?? '');
  const waiting = job === undefined || (props.item !== undefined && item === undefined);
  const name =
    props.item !== undefined ? item?.name : props.room !== undefined ? room?.name : job?.name;
  const retry = () => {
    again();
    void pullJob(props.job);
    if (props.item !== undefined) void pullItem(props.job, props.item);
  };
  return (
    <JobFrame job={props.job} here="rules" title={t('houseRules.title')} state={name}>
      {waiting ? (
        <Standstill
          shown={job === undefined ? shown : asked}
          waiting={t('houseRules.waiting')}
          again={retry}
        />
      ) : props.room !== undefined && room === undefined ? (
        <Notice kind="gone" sentence={t('houseRules.gone')} more={t('board.gone.more')} />
      ) : table.rules === undefined ? (
        <Standstill shown={table} waiting={t('houseRules.waiting')} again={retry} />
      ) : (
        <>
          <Stale shown={shown} again={retry} />
          <RuleTable
            about={{
              job: props.job,
              ...(props.room === undefined ? {} : { room: props.room }),
              ...(props.item === undefined ? {} : { item: props.item }),
            }}
            name={name ?? ''}
            unit={item?.unit ?? unitRead(job.unit)}
            place={placeOf(job, props.room === undefined ? undefined : room, item)}
            rules={rulesHere(table.rules, job, room, item)}
          />
          {props.room === undefined && props.item === undefined && (
            <Elsewhere job={props.job} rooms={job.rooms} />
          )}
        </>
      )}
    </JobFrame>
  );
}

function unitRead(unit: 'in' | 'mm'): 'in' | 'mm' {
  const now = session.value;
  return now.state === 'in' ? now.me.unit : unit;
}

function useTable(): [Table, () => void] {
  const [table, setTable] = useState<Table>({});
  const ask = async () => {
    try {
      setTable({ rules: (await api.rules()).rules });
    } catch (cause) {
      if (cause instanceof Refusal && !cause.passing) setTable({ gone: cause.sentence });
      else setTable((was) => ({ ...was, offline: true }));
    }
  };
  useEffect(() => {
    void ask();
  }, []);
  return [table, () => void ask()];
}

interface RuleTableProps {
  readonly about: { readonly job: string; readonly room?: string; readonly item?: string };
  readonly name: string;
  readonly unit: 'in' | 'mm';
  readonly place: Place;
  readonly rules: readonly RuleHere[];
}

function RuleTable(props: RuleTableProps) {
  const { place, rules, unit } = props;
  const [open, setOpen] = useState<string | null>(null);
  const [answer, setAnswer] = useState<AnswerState>(null);
  const own = Object.keys(place.own).length;
  const set = async (rule: Rule, value: number | undefined) => {
    const body = { set: { ...withRule(place.own, rule.key, value) } };
    const said = t('board.said.rule', { rule: ruleName(rule.key), name: props.name });
    const came = await perform('set_rules', props.about, body, said);
    setAnswer(came);
    if (came.came !== 'refused') setOpen(null);
  };
  const chosen = rules.find(({ rule }) => rule.key === open);
  return (
    <div class="rules">
      <p class="rules-sum">
        {own === 0
          ? t(`houseRules.none.${place.origin}`)
          : t(`houseRules.own.${place.origin}`, { count: own })}{' '}
        {t('houseRules.unsourced')}
      </p>
      {place.origin === 'job' && (
        <a class="button button-line" href={`${jobHref(props.about.job, 'rules')}/products`}>
          {t('products.open')}
        </a>
      )}
      {answer !== null && open === null && <Answer answer={answer} />}
      {grouped(rules).map(([group, list]) => (
        <section key={group} aria-labelledby={`rules-${group}`}>
          <h2 id={`rules-${group}`} class="rules-group">
            {t(`houseRules.group.${group}`)}
          </h2>
          <table class="rules-table">
            <thead class="unseen">
              <tr>
                <th scope="col">{t('houseRules.rule')}</th>
                <th scope="col">{t('houseRules.value')}</th>
                <th scope="col">{t('houseRules.origin')}</th>
              </tr>
            </thead>
            <tbody>
              {list.map(({ rule, value, origin }) => (
                <tr key={rule.key} class={origin === place.origin ? 'rule rule-own' : 'rule'}>
                  <th scope="row">
                    {ruleName(rule.key)}
                    {rule.basis !== unsourced && (
                      <span class="rule-basis">
                        <Words>{basisOf(rule)}</Words>
                      </span>
                    )}
                  </th>
                  <td class="rule-value">
                    <button
                      type="button"
                      class="rule-set number"
                      onClick={() => {
                        setAnswer(null);
                        setOpen(rule.key);
                      }}
                    >
                      <Words>{valueText(rule, value, unit)}</Words>
                      <span class="unseen">
                        {' '}
                        {t('houseRules.change', { rule: ruleName(rule.key) })}
                      </span>
                    </button>
                  </td>
                  <td class="rule-origin">{t(`houseRules.from.${origin}`)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      ))}
      {chosen !== undefined && (
        <Setting
          key={chosen.rule.key}
          here={chosen}
          unit={unit}
          own={place.own[chosen.rule.key] !== undefined}
          answer={answer}
          onSet={(value) => void set(chosen.rule, value)}
          onClose={() => setOpen(null)}
        />
      )}
    </div>
  );
}

interface SettingProps {
  readonly here: RuleHere;
  readonly unit: 'in' | 'mm';
  /** Set here, not taken from around it. */
  readonly own: boolean;
  readonly answer: AnswerState;
  readonly onSet: (value: number | undefined) => void;
  readonly onClose: () => void;
}

/** One rule's value: by the tape where it is a length, else a number. */
function Setting({ here, unit, own, answer, onSet, onClose }: SettingProps) {
  const { rule, value } = here;
  const name = ruleName(rule.key);
  const between =
    rule.kind === 'choice'
      ? ''
      : t('houseRules.between', {
          least: valueText(rule, rule.min, unit),
          most: valueText(rule, rule.max, unit),
        });
  return (
    <Sheet name={name} nameShown={rule.kind !== 'length'} modal onClose={onClose}>
      {rule.kind === 'length' ? (
        <Tape
          label={name}
          hint={between}
          unit={unit}
          initial={value}
          initialText={valueText(rule, value, unit)}
          parse={(text) => rulebook().parseLength(text, unit)}
          onKeep={onSet}
        />
      ) : rule.kind === 'choice' ? (
        <ChoiceSetting rule={rule} value={value} onSet={onSet} />
      ) : (
        <NumberSetting rule={rule} value={value} hint={between} onSet={onSet} />
      )}
      <div class="setting-foot">
        <Answer answer={answer} />
        {own && (
          <Button kind="quiet" onPress={() => onSet(undefined)}>
            {t('houseRules.back')}
          </Button>
        )}
        <p class="rule-basis">
          <Words>{basisOf(rule)}</Words>
        </p>
      </div>
    </Sheet>
  );
}

function ChoiceSetting(props: { rule: Rule; value: number; onSet: (value: number) => void }) {
  const choices = props.rule.choices ?? [];
  return (
    <div class="setting-number wrap-2">
      <Choice
        label={ruleName(props.rule.key)}
        value={choices[props.value] ?? null}
        options={choices.map((value) => ({ value, label: choiceName(props.rule.key, value) }))}
        onChoose={(value) => props.onSet(choices.indexOf(value))}
      />
    </div>
  );
}

function NumberSetting(props: {
  rule: Rule;
  value: number;
  hint: string;
  onSet: (value: number) => void;
}) {
  const [text, setText] = useState(String(props.value));
  const number = Number(text.trim());
  const odd = text.trim() === '' || !Number.isInteger(number);
  const keep = () => {
    if (!odd) props.onSet(number);
  };
  return (
    <div class="setting-number">
      <Field
        label={t(`houseRules.in.${props.rule.kind}`)}
        hint={props.hint}
        value={text}
        {...(odd ? { refused: t('houseRules.whole') } : {})}
        onInput={setText}
        onEnter={keep}
      />
      <Button kind="main" disabled={odd} onPress={keep}>
        {t('tape.keep')}
      </Button>
    </div>
  );
}

/** Rooms that have rules of their own, so that none is forgotten. */
function Elsewhere({
  job,
  rooms,
}: {
  job: string;
  rooms: readonly { id: string; name: string; rules?: object }[];
}) {
  const set = rooms.filter(({ rules }) => Object.keys(rules ?? {}).length > 0);
  if (set.length === 0) return null;
  return (
    <section class="rules-elsewhere">
      <h2 class="rules-group">{t('houseRules.elsewhere')}</h2>
      <ul>
        {set.map((room) => (
          <li key={room.id}>
            <a href={`/board/jobs/${job}/rules/rooms/${room.id}`}>{room.name}</a>
          </li>
        ))}
      </ul>
    </section>
  );
}

function valueText(rule: Rule, value: number, unit: 'in' | 'mm'): string {
  switch (rule.kind) {
    case 'length':
      return printFine(value, unit);
    case 'minutes':
      return value >= 120 && value % 60 === 0
        ? t('houseRules.hours', { value: value / 60 })
        : t('houseRules.minutes', { value });
    case 'choice':
      return choiceName(rule.key, rule.choices?.[value] ?? '');
    case 'percent':
      return t('houseRules.percent', { value });
    default:
      return String(value);
  }
}

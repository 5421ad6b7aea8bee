import { useState } from 'preact/hooks';
import { newId } from '../api/command.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { TopBar } from '../parts/rail.tsx';
import { goTo } from '../router.ts';
import { session } from '../sign-in/session.ts';
import { t } from '../words/words.ts';
import { Answer, type AnswerState } from './answer.tsx';
import { perform } from './doing.ts';
import { jobHref } from './job-frame.tsx';
import './set-up.css';

/** A new job: its name, where it is, what its tapes read, and how old the house is. */
export function NewJob() {
  const [name, setName] = useState('');
  const [address, setAddress] = useState('');
  const now = session.value;
  const [unit, setUnit] = useState<'in' | 'mm'>(now.state === 'in' ? now.me.unit : 'in');
  const [year, setYear] = useState('');
  const [missing, setMissing] = useState(false);
  const [answer, setAnswer] = useState<AnswerState>(null);
  const [sending, setSending] = useState(false);
  const built = year.trim() === '' ? undefined : Number(year);
  const oddYear = built !== undefined && !Number.isInteger(built);

  const open = async () => {
    if (name.trim() === '') {
      setMissing(true);
      return;
    }
    if (oddYear) return;
    setSending(true);
    const job = newId();
    const body = {
      name: name.trim(),
      unit,
      ...(address.trim() === '' ? {} : { address: address.trim() }),
      ...(built === undefined ? {} : { house_year: built }),
    };
    const came = await perform(
      'create_job',
      { job },
      body,
      t('board.said.job', { name: body.name }),
    );
    setSending(false);
    setAnswer(came);
    if (came.came === 'done') goTo(jobHref(job, 'set-up'));
  };

  return (
    <>
      <TopBar title={t('board.newJob')} back={{ href: '/board', label: t('board.jobs') }} />
      <main class="new-job">
        <Field
          label={t('newJob.name')}
          value={name}
          required
          {...(missing ? { refused: t('newJob.name.missing') } : {})}
          onInput={(value) => {
            setMissing(false);
            setName(value);
          }}
          onEnter={() => void open()}
        />
        <Field
          label={t('newJob.address')}
          value={address}
          onInput={setAddress}
          onEnter={() => void open()}
        />
        <Choice
          label={t('newJob.unit')}
          labelShown
          value={unit}
          options={[
            { value: 'in', label: t('newJob.inches') },
            { value: 'mm', label: t('newJob.millimeters') },
          ]}
          onChoose={setUnit}
        />
        <Field
          label={t('newJob.year')}
          hint={t('newJob.year.hint')}
          value={year}
          {...(oddYear ? { refused: t('newJob.year.odd') } : {})}
          onInput={setYear}
          onEnter={() => void open()}
        />
        <Button
          kind="main"
          disabled={sending || answer?.came === 'kept'}
          onPress={() => void open()}
        >
          {t('newJob.open')}
        </Button>
        <Answer answer={answer} />
      </main>
    </>
  );
}

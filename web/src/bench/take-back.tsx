import { useState } from 'preact/hooks';
import { act } from '../live/store.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Words } from '../parts/fraction.tsx';
import { Sheet } from '../parts/sheet.tsx';
import { t } from '../words/words.ts';

/** Takes an entry back with a reason; the log keeps both. */
export function TakeBack(props: {
  job: string;
  item: string;
  itemName: string;
  entry: string;
  says: string;
}) {
  const [open, setOpen] = useState(false);
  const [reason, setReason] = useState('');
  const [missing, setMissing] = useState(false);
  const take = () => {
    if (reason.trim() === '') return setMissing(true);
    void act(
      'withdraw',
      { job: props.job, item: props.item },
      { command_id: props.entry, reason: reason.trim() },
      { said: t('said.withdraw', { item: props.itemName, what: props.says }) },
    );
    setOpen(false);
  };
  return (
    <>
      <Button
        kind="quiet"
        name={`${t('withdraw.do')}: ${props.says}`}
        onPress={() => setOpen(true)}
      >
        {t('withdraw.do')}
      </Button>
      {open && (
        <Sheet name={t('withdraw.title')} nameShown modal onClose={() => setOpen(false)}>
          <div class="asking">
            <p>
              <Words>{props.says}</Words>
            </p>
            <Field
              label={t('withdraw.why')}
              value={reason}
              onInput={setReason}
              onEnter={take}
              hint={t('withdraw.hint')}
              {...(missing && reason.trim() === '' ? { refused: t('reason.missing') } : {})}
            />
            <Button wide onPress={take}>
              {t('withdraw.do')}
            </Button>
            <Button kind="main" wide onPress={() => setOpen(false)}>
              {t('withdraw.leave')}
            </Button>
          </div>
        </Sheet>
      )}
    </>
  );
}

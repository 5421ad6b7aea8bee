import youWords from 'virtual:words/you';
import { useState } from 'preact/hooks';
import { api } from '../api/client.ts';
import { sentenceOf } from '../api/refusal.ts';
import type { Me } from '../api/views.ts';
import { Button } from '../parts/button.tsx';
import { Choice } from '../parts/choice.tsx';
import { Field } from '../parts/field.tsx';
import { TopBar } from '../parts/rail.tsx';
import { Gate } from '../sign-in/gate.tsx';
import { enter, leads } from '../sign-in/session.ts';
import { chooseTheme, chosenTheme, type Theme } from '../theme.ts';
import { addWords, chooseLanguage, ownNames } from '../words/choose.ts';
import { type LanguageCode, t } from '../words/words.ts';
import { CalendarLink } from './calendar.tsx';
import { chooseHand, chosenHand, type Hand } from './hand.ts';
import { Notifications } from './notifications.tsx';
import { OwnKeys } from './own-keys.tsx';
import './you.css';

addWords(youWords);

/** How this person reads and holds the app. Language and unit are theirs wherever they sign in; the
 * rest is this device's. */
export function You() {
  return <Gate>{(me) => <Settings me={me} />}</Gate>;
}

function Settings({ me }: { me: Me }) {
  const [theme, setTheme] = useState<Theme>(chosenTheme);
  const [hand, setHand] = useState<Hand>(chosenHand);
  const [refused, setRefused] = useState('');

  const [name, setName] = useState(me.name);
  const set = async (change: Partial<Pick<Me, 'language' | 'unit' | 'name' | 'fine'>>) => {
    const { language, unit, name, fine = false } = { ...me, ...change };
    setRefused('');
    try {
      const who = await api.setSettings({ language, unit, name, fine });
      await chooseLanguage(who.language);
      enter(who);
      // Every sentence and length on this device was made in the old ones.
      location.reload();
    } catch (cause) {
      setRefused(sentenceOf(cause, t('you.offline')));
    }
  };

  return (
    <>
      <TopBar
        title={t('you.title')}
        back={
          leads(me)
            ? { href: '/board', label: t('board.title') }
            : { href: '/', label: t('bench.title') }
        }
      >
        {me.name}
      </TopBar>
      <main class="you">
        {refused !== '' && (
          <p class="turned-down" role="alert">
            {refused}
          </p>
        )}
        <Field label={t('you.name')} value={name} onInput={setName} autocomplete="name" />
        {name.trim() !== me.name && (
          <Button kind="main" onPress={() => void set({ name })}>
            {t('you.name.keep')}
          </Button>
        )}
        <Choice<LanguageCode>
          label={t('you.language')}
          labelShown
          value={me.language}
          options={[
            { value: 'en', label: ownNames.en },
            { value: 'es', label: ownNames.es },
          ]}
          onChoose={(language) => void set({ language })}
        />
        <Choice<Me['unit']>
          label={t('you.unit')}
          labelShown
          value={me.unit}
          options={[
            { value: 'in', label: t('newJob.inches') },
            { value: 'mm', label: t('newJob.millimeters') },
          ]}
          onChoose={(unit) => void set({ unit })}
        />
        <Choice<'coarse' | 'fine'>
          label={t('you.marks')}
          labelShown
          value={me.fine === true ? 'fine' : 'coarse'}
          options={
            me.unit === 'in'
              ? [
                  { value: 'coarse', label: '1/16' },
                  { value: 'fine', label: '1/32' },
                ]
              : [
                  { value: 'coarse', label: '1 mm' },
                  { value: 'fine', label: '0.5 mm' },
                ]
          }
          onChoose={(marks) => void set({ fine: marks === 'fine' })}
        />
        <p class="quiet">{t('you.yours')}</p>
        <Choice<Theme>
          label={t('you.light')}
          labelShown
          value={theme}
          options={[
            { value: 'system', label: t('you.light.system') },
            { value: 'light', label: t('you.light.day') },
            { value: 'dark', label: t('you.light.work') },
          ]}
          onChoose={(chosen) => {
            chooseTheme(chosen);
            setTheme(chosen);
          }}
        />
        <Choice<Hand>
          label={t('you.hand')}
          labelShown
          value={hand}
          options={[
            { value: 'left', label: t('you.hand.left') },
            { value: 'right', label: t('you.hand.right') },
          ]}
          onChoose={(chosen) => {
            chooseHand(chosen);
            setHand(chosen);
          }}
        />
        <p class="quiet">{t('you.device')}</p>
        <Notifications />
        <CalendarLink />
        <OwnKeys me={me} />
      </main>
    </>
  );
}

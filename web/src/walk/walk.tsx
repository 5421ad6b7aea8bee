import walkWords from 'virtual:words/walk';
import { useEffect, useState } from 'preact/hooks';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Notice } from '../parts/notice.tsx';
import { addWords, chooseLanguage } from '../words/choose.ts';
import { t } from '../words/words.ts';
import type { WalkPage } from './door.ts';
import { followPhotos } from './pictures.tsx';
import { followPlace, place, takeSecret } from './place.ts';
import { RemarkScreen } from './remark.tsx';
import { RoomScreen, RoomsScreen } from './rooms.tsx';
import { SayScreen } from './say.tsx';
import { SignScreen } from './sign.tsx';
import {
  cutOff,
  doing,
  follow,
  knock,
  language,
  look,
  open,
  turnedBack,
  unsent,
  wasRead,
} from './visit.ts';
import './walk.css';

addWords(walkWords);

/** The homeowner's walk: no account, nothing to install, one thing at a time. */
export function Walk() {
  useEffect(() => {
    document.title = t('walk.title');
    const secret = takeSecret();
    const stop = [followPlace(), follow(), followPhotos()];
    void open(secret);
    return () => {
      for (const each of stop) each();
    };
  }, []);

  const spoken = language.value;
  useEffect(() => {
    void chooseLanguage(spoken).then(() => {
      document.title = t('walk.title');
    });
  }, [spoken]);

  const now = doing.value;
  switch (now.state) {
    case 'opening':
      return (
        <main class="walk">
          <h1 class="unseen">{t('walk.title')}</h1>
          <Notice kind="waiting" sentence={t('walk.opening')} />
        </main>
      );
    case 'passphrase':
      return <Knock {...(now.refused === undefined ? {} : { refused: now.refused })} />;
    case 'closed':
      return (
        <main class="walk">
          <h1 class="unseen">{t('walk.title')}</h1>
          <Notice
            kind="gone"
            sentence={now.why === '' ? t('walk.noLink') : now.why}
            more={t('walk.closed.more')}
          />
        </main>
      );
    case 'no signal':
      return (
        <main class="walk">
          <h1 class="unseen">{t('walk.title')}</h1>
          <Notice kind="offline" sentence={t('walk.offline')} more={t('walk.offline.more')}>
            <Button kind="main" onPress={() => void knock('')}>
              {t('action.tryAgain')}
            </Button>
          </Notice>
        </main>
      );
    case 'in':
      return <Inside page={now.page} />;
  }
}

function Inside({ page }: { page: WalkPage }) {
  const at = place.value;
  return (
    <main class="walk">
      <Standing walk={page.view.id} />
      {at.at === 'rooms' && <RoomsScreen page={page} />}
      {at.at === 'room' && <RoomScreen page={page} room={at.room} />}
      {at.at === 'say' && (
        <SayScreen key={`${at.room} ${at.item}`} page={page} room={at.room} item={at.item} />
      )}
      {at.at === 'remark' && <RemarkScreen page={page} id={at.id} />}
      {at.at === 'sign' && <SignScreen key={at.room ?? ''} page={page} room={at.room} />}
    </main>
  );
}

/** What has not been sent, and what was not taken: said once, above everything, in words. */
function Standing({ walk }: { walk: string }) {
  const waiting = unsent.value.length;
  const refused = turnedBack.value.filter(({ command }) => command.walk_id === walk);
  return (
    <>
      {waiting > 0 && cutOff.value && (
        <Notice
          slim
          kind="offline"
          sentence={t('walk.unsent', { count: waiting })}
          more={t('walk.unsent.more')}
        >
          <Button onPress={() => void look()}>{t('action.tryAgain')}</Button>
        </Notice>
      )}
      {refused.map(({ command, why }) => (
        <Notice
          key={command.id}
          slim
          kind="refused"
          sentence={why}
          {...(command.say_remark?.text === undefined
            ? {}
            : { more: t('walk.refused.text', { text: command.say_remark.text }) })}
        >
          <Button onPress={() => wasRead(command)}>{t('walk.refused.read')}</Button>
        </Notice>
      ))}
    </>
  );
}

function Knock(props: { refused?: string }) {
  const [passphrase, setPassphrase] = useState('');
  const enter = () => {
    if (passphrase.trim() !== '') void knock(passphrase.trim());
  };
  return (
    <main class="walk walk-knock">
      <h1>{t('walk.passphrase.title')}</h1>
      <Field
        label={t('walk.passphrase')}
        hint={t('walk.passphrase.hint')}
        value={passphrase}
        onInput={setPassphrase}
        autocomplete="off"
        onEnter={enter}
        {...(props.refused === undefined ? {} : { refused: props.refused })}
      />
      <Button kind="main" wide onPress={enter}>
        {t('walk.passphrase.enter')}
      </Button>
    </main>
  );
}

import { useState } from 'preact/hooks';
import { asList, isDrawn } from '../bench/as-list.ts';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Notice } from '../parts/notice.tsx';
import { t } from '../words/words.ts';
import { type WalkItem, type WalkPage, walkCommand } from './door.ts';
import { go } from './place.ts';
import { Back } from './rooms.tsx';
import { type At, Spot } from './spot.tsx';
import { act } from './visit.ts';

type About = WalkItem['suggestions'][number]['about'];

/** One question at a time: where, what, and in their own words. */
export function SayScreen(props: { page: WalkPage; room: string; item: string | null }) {
  const { page } = props;
  const room = page.view.rooms.find(({ id }) => id === props.room);
  const item = room?.items.find(({ id }) => id === props.item) ?? null;
  const drawn = item !== null && isDrawn(item.drawing);
  const [step, setStep] = useState<'where' | 'what' | 'words'>(drawn ? 'where' : 'what');
  const [at, setAt] = useState<At | null>(null);
  const [about, setAbout] = useState<About | null>(null);
  const [text, setText] = useState('');
  const [wanting, setWanting] = useState(false);

  if (room === undefined || (props.item !== null && item === null)) {
    return (
      <>
        <Notice kind="gone" sentence={t('walk.room.gone')} />
        <Back />
      </>
    );
  }
  const said = () => {
    const words = text.trim();
    if (about === null || (about === 'other' && words === '')) return setWanting(true);
    act(
      walkCommand(
        page,
        { room: room.id, ...(item === null ? {} : { item: item.id }) },
        {
          say_remark: {
            about,
            ...(words === '' ? {} : { text: words }),
            ...(at === null ? {} : { spot: at }),
          },
        },
      ),
    );
    go({ at: 'room', room: room.id });
  };
  const choose = (chosen: About) => {
    setAbout(chosen);
    setStep('words');
  };
  const label = item?.suggestions.find((each) => each.about === about)?.label;
  return (
    <>
      <header class="walk-head">
        <p class="walk-crew">{room.name}</p>
        <h1>{item?.name ?? t('walk.say.room')}</h1>
      </header>
      {step === 'where' && item !== null && (
        <>
          <p class="walk-question">{t('walk.say.where')}</p>
          <Spot list={asList(item.drawing)} at={at} onMark={setAt} name={t('walk.say.where')} />
          <div class="walk-foot">
            <Button kind="main" wide onPress={() => setStep('what')}>
              {at === null ? t('walk.say.nowhere') : t('walk.say.next')}
            </Button>
          </div>
        </>
      )}
      {step === 'what' && (
        <>
          <p class="walk-question" id="walk-what">
            {t('walk.say.what')}
          </p>
          <ul class="walk-choices" aria-labelledby="walk-what">
            {(item?.suggestions ?? roomSuggestions()).map((each) => (
              <li key={each.about}>
                <Button wide onPress={() => choose(each.about)}>
                  {each.label}
                </Button>
              </li>
            ))}
          </ul>
        </>
      )}
      {step === 'words' && (
        <>
          <p class="walk-question">
            {about === 'other' || label === undefined ? t('walk.say.words') : label}
          </p>
          <Field
            tall
            label={about === 'other' ? t('walk.say.yours') : t('walk.say.more')}
            value={text}
            onInput={setText}
            {...(wanting && text.trim() === '' ? { refused: t('walk.say.needed') } : {})}
          />
          <div class="walk-foot">
            <Button kind="main" wide onPress={said}>
              {t('walk.say.it')}
            </Button>
            <Button kind="quiet" onPress={() => setStep('what')}>
              {t('walk.say.another')}
            </Button>
          </div>
        </>
      )}
      <Back room={room.id} />
    </>
  );
}

/** What may be said of a room itself: whatever is not one of its openings or runs. */
function roomSuggestions(): readonly { readonly about: About; readonly label: string }[] {
  return [
    { about: 'paint', label: t('walk.about.paint') },
    { about: 'dent', label: t('walk.about.dent') },
    { about: 'other', label: t('walk.about.other') },
  ];
}

import { useState } from 'preact/hooks';
import { asList, isDrawn } from '../bench/as-list.ts';
import { Button } from '../parts/button.tsx';
import { Drawing } from '../parts/drawing.tsx';
import { Field } from '../parts/field.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { Spot } from '../parts/spot.tsx';
import { t } from '../words/words.ts';
import { type Remark, type WalkPage, walkCommand } from './door.ts';
import { Photos } from './pictures.tsx';
import { go } from './place.ts';
import { Back } from './rooms.tsx';
import { act, unsent } from './visit.ts';
import { day } from './when.ts';

type Act = NonNullable<Remark['acts']>[number];

/** One remark: what was said, what came of it, and what the homeowner may say to that. */
export function RemarkScreen(props: { page: WalkPage; id: string }) {
  const { page } = props;
  const room = page.view.rooms.find(({ remarks }) => remarks.some(({ id }) => id === props.id));
  const remark = room?.remarks.find(({ id }) => id === props.id);
  const [chosen, setChosen] = useState<Act | null>(null);
  const [text, setText] = useState('');
  const [wanting, setWanting] = useState(false);
  if (room === undefined || remark === undefined) {
    return (
      <>
        <Notice kind="gone" sentence={t('walk.remark.gone')} />
        <Back />
      </>
    );
  }
  const item = room.items.find(({ id }) => id === remark.item_id);
  const waiting = unsent.value.some(({ move_remark }) => move_remark?.remark_id === remark.id);
  const send = (done: Act) => {
    const words = text.trim();
    if (done.needs_words === true && words === '') return setWanting(true);
    act(
      walkCommand(
        page,
        { room: room.id, ...(remark.item_id === undefined ? {} : { item: remark.item_id }) },
        {
          move_remark: {
            remark_id: remark.id,
            act: done.act,
            ...(words === '' ? {} : { text: words }),
          },
        },
      ),
    );
    go({ at: 'room', room: room.id });
  };
  const offersWords = (done: Act) => done.needs_words === true || done.act === 'still_there';
  return (
    <>
      <header class="walk-head">
        <p class="walk-crew">
          {room.name}
          {remark.item_name !== undefined && <>, {remark.item_name}</>}
        </p>
        <h1>
          <Words>{remark.sentence}</Words>
        </h1>
        <p class="walk-state">{remark.state_label}</p>
        {remark.day !== undefined && remark.day !== '' && (
          <p class="walk-hello">{t('walk.remark.day', { day: day(remark.day) })}</p>
        )}
      </header>
      {item !== undefined && isDrawn(item.drawing) && (
        <Spot
          at={remark.spot === undefined || remark.spot.on !== undefined ? null : remark.spot}
          name={item.name}
        >
          <Drawing list={asList(item.drawing)} />
        </Spot>
      )}
      {(remark.photos ?? []).length > 0 && (
        <Photos ids={remark.photos ?? []} marks={remark.marks} says={t('walk.photo.yours')} />
      )}
      {(remark.moves ?? []).length > 0 && (
        <ol class="walk-moves" aria-label={t('walk.remark.moves')}>
          {(remark.moves ?? []).map((move) => (
            <li key={move.at} class={move.side === 'homeowner' ? 'walk-move-own' : ''}>
              <span class="walk-line-says">
                {move.side === 'homeowner' ? t('walk.remark.you') : page.company_name} ·{' '}
                {day(move.at)}
              </span>
              <span>
                <Words>{move.sentence}</Words>
              </span>
              {(move.photos ?? []).length > 0 && (
                <Photos ids={move.photos ?? []} says={t('walk.photo.crews')} />
              )}
            </li>
          ))}
        </ol>
      )}
      {waiting && <p class="walk-small">{t('walk.said.waiting')}</p>}
      {!waiting && chosen === null && (remark.acts ?? []).length > 0 && (
        <div class="walk-foot">
          {[...(remark.acts ?? [])]
            .sort((a, b) => Number(a.act === 'take_back') - Number(b.act === 'take_back'))
            .map((each, at) => (
              <Button
                key={each.act}
                kind={each.act === 'take_back' ? 'quiet' : at === 0 ? 'main' : 'line'}
                wide={each.act !== 'take_back'}
                onPress={() => (offersWords(each) ? setChosen(each) : send(each))}
              >
                {each.label}
              </Button>
            ))}
        </div>
      )}
      {chosen !== null && (
        <>
          <Field
            tall
            label={chosen.label}
            value={text}
            onInput={setText}
            {...(chosen.needs_words === true ? {} : { hint: t('walk.remark.optional') })}
            {...(wanting && text.trim() === '' ? { refused: t('walk.say.needed') } : {})}
          />
          <div class="walk-foot">
            <Button kind="main" wide onPress={() => send(chosen)}>
              {t('walk.remark.send')}
            </Button>
            <Button kind="quiet" onPress={() => setChosen(null)}>
              {t('walk.remark.other')}
            </Button>
          </div>
        </>
      )}
      <Back room={room.id} />
    </>
  );
}

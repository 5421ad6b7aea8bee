import { useRef, useState } from 'preact/hooks';
import { Button } from '../parts/button.tsx';
import { Field } from '../parts/field.tsx';
import { Words } from '../parts/fraction.tsx';
import { Notice } from '../parts/notice.tsx';
import { t } from '../words/words.ts';
import { type WalkPage, walkCommand } from './door.ts';
import { go } from './place.ts';
import { Back } from './rooms.tsx';
import { act, cutOff, unsent } from './visit.ts';

/** The signature under a room, or under the whole: first what stays open, then name and hand. */
export function SignScreen(props: { page: WalkPage; room: string | null }) {
  const { page } = props;
  const { view } = page;
  const room = view.rooms.find(({ id }) => id === props.room);
  const [name, setName] = useState(page.guest_name);
  const [strokes, setStrokes] = useState('');
  const [wanting, setWanting] = useState(false);
  const rooms = room === undefined ? view.rooms : [room];
  const ids = room === undefined ? view.open : room.open;
  const open = rooms.flatMap(({ remarks }) => remarks.filter(({ id }) => ids.includes(id)));
  const signed = room === undefined ? view.signed : room.signed;
  const back = room === undefined ? <Back /> : <Back room={room.id} />;

  if ((props.room !== null && room === undefined) || view.state === 'over') {
    return (
      <>
        <Notice kind="gone" sentence={t('walk.room.gone')} />
        <Back />
      </>
    );
  }
  if (signed !== undefined) {
    return (
      <>
        <Notice kind="empty" sentence={t('walk.room.signed', { name: signed.name })} />
        {back}
      </>
    );
  }
  // A signature is under what stands in the log: what has not got there is signed for later.
  if (unsent.value.length > 0) {
    return (
      <>
        <Notice
          kind={cutOff.value ? 'offline' : 'waiting'}
          sentence={t('walk.sign.unsent')}
          more={t('walk.unsent.more')}
        />
        {back}
      </>
    );
  }
  const sign = () => {
    if (name.trim() === '' || strokes === '') return setWanting(true);
    act(
      walkCommand(page, room === undefined ? {} : { room: room.id }, {
        sign_off: { name: name.trim(), strokes, ...(ids.length === 0 ? {} : { open: [...ids] }) },
      }),
    );
    go(room === undefined ? { at: 'rooms' } : { at: 'room', room: room.id });
  };
  return (
    <>
      <header class="walk-head">
        <p class="walk-crew">{view.job_name}</p>
        <h1>
          {room === undefined ? t('walk.sign.whole') : t('walk.sign.title', { room: room.name })}
        </h1>
      </header>
      <section aria-labelledby="walk-open">
        <h2 id="walk-open">
          {open.length === 0
            ? t('walk.sign.nothingOpen')
            : t('walk.sign.open', { count: open.length })}
        </h2>
        <ul class="walk-open">
          {open.map((remark) => (
            <li key={remark.id}>
              {remark.item_name !== undefined && <>{remark.item_name}: </>}
              <Words>{remark.sentence}</Words>
              <span class="walk-line-says">{remark.state_label}</span>
            </li>
          ))}
        </ul>
        <p class="walk-small">{room === undefined ? t('walk.sign.seals') : t('walk.sign.means')}</p>
      </section>
      <Field
        label={t('walk.sign.name')}
        value={name}
        onInput={setName}
        autocomplete="name"
        {...(wanting && name.trim() === '' ? { refused: t('walk.sign.nameNeeded') } : {})}
      />
      <Hand
        strokes={strokes}
        onStrokes={setStrokes}
        refused={wanting && strokes === ''}
        name={name}
      />
      <div class="walk-foot">
        <Button kind="main" wide onPress={sign}>
          {t('walk.sign.sign')}
        </Button>
      </div>
      {back}
    </>
  );
}

const across = 1000;
const down = 400;
// A signature is a few hundred points; a finger that rests adds none.
const least = 8;
const longest = 7800;

/** Where a finger signs. By keyboard the typed name can be put there as two lines under it. */
function Hand(props: {
  strokes: string;
  onStrokes: (path: string) => void;
  refused: boolean;
  name: string;
}) {
  const box = useRef<SVGSVGElement>(null);
  const path = useRef(props.strokes);
  const last = useRef<{ x: number; y: number } | null>(null);
  const point = (event: PointerEvent) => {
    const edge = box.current?.getBoundingClientRect();
    if (edge === undefined || edge.width === 0) return { x: 0, y: 0 };
    const inside = (at: number, most: number) => Math.round(Math.min(Math.max(at, 0), most));
    return {
      x: inside(((event.clientX - edge.left) / edge.width) * across, across),
      y: inside(((event.clientY - edge.top) / edge.height) * down, down),
    };
  };
  const begin = (event: PointerEvent) => {
    event.preventDefault();
    box.current?.setPointerCapture(event.pointerId);
    last.current = point(event);
  };
  const draw = (event: PointerEvent) => {
    const from = last.current;
    if (from === null || path.current.length > longest) return;
    const to = point(event);
    if (Math.hypot(to.x - from.x, to.y - from.y) < least) return;
    const joined = path.current.endsWith(`${from.x} ${from.y}`);
    path.current += joined
      ? ` L${to.x} ${to.y}`
      : `${path.current === '' ? '' : ' '}M${from.x} ${from.y} L${to.x} ${to.y}`;
    last.current = to;
    props.onStrokes(path.current);
  };
  const end = () => {
    last.current = null;
  };
  const set = (made: string) => {
    path.current = made;
    props.onStrokes(made);
  };
  return (
    <div class="hand">
      <p class="hand-label" aria-hidden="true">
        {t('walk.sign.hand')}
      </p>
      <svg
        ref={box}
        class="hand-paper"
        viewBox={`0 0 ${across} ${down}`}
        role="img"
        aria-label={t('walk.sign.hand')}
        onPointerDown={begin}
        onPointerMove={draw}
        onPointerUp={end}
        onPointerCancel={end}
      >
        <path class="hand-rule" d="M60 320H940" />
        <path class="hand-ink" d={props.strokes} />
      </svg>
      {props.refused && (
        <p class="field-reason" role="alert">
          {t('walk.sign.handNeeded')}
        </p>
      )}
      <div class="hand-acts">
        <Button kind="quiet" onPress={() => set('')} disabled={props.strokes === ''}>
          {t('walk.sign.again')}
        </Button>
        <Button
          kind="quiet"
          onPress={() => set('M80 300 L920 300 M80 316 L920 316')}
          name={t('walk.sign.byKey.name')}
        >
          {t('walk.sign.byKey')}
        </Button>
      </div>
    </div>
  );
}

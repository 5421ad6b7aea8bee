import { describe, expect, it } from 'vitest';
import type { EntryView, HouseRules, ItemView, JobView, RoomView, Spec } from '../src/api/views.ts';
import { grouped, placeOf, rulesHere, withRule } from '../src/board/house-rules.ts';
import { byDay, filterOf, joined, searchOf } from '../src/board/log-pages.ts';
import { change, changeCasing, changeKind, newDraft, nominal } from '../src/board/opening-spec.ts';

const inch = 25_400_000;

describe('setting up an opening', () => {
  // The rule book's own door, UnitForDoor(30, 80, 1 3/8): internal/trim/unit.go.
  it('begins with the common door', () => {
    expect(newDraft('door', 'Den door').spec.unit).toEqual({
      kind: 'door',
      grade: 'paint',
      slab_width: 30 * inch,
      slab_height: 80 * inch,
      slab_thickness: (11 * inch) / 8,
      core: 'hollow',
      jamb_thickness: (5 * inch) / 8,
      jamb_width: (73 * inch) / 16,
      head_thickness: (5 * inch) / 8,
      hinge_on: 'left',
      swings_to: 'a',
      stop_thickness: (3 * inch) / 8,
    });
  });

  it('takes the job’s last of the kind as its pattern, without what was that one’s only', () => {
    const pattern: Spec = {
      unit: {
        kind: 'door',
        grade: 'stain',
        core: 'fire_rated',
        fire_label: '20 min',
        exit: true,
        jamb_width: 5 * inch,
      },
      casing_a: { style: 'butt_head', width: 3 * inch, thickness: inch },
      seen_from_above: true,
    };
    const { spec } = newDraft('door', 'Hall door', pattern);
    expect(spec.unit).toEqual({
      kind: 'door',
      grade: 'stain',
      core: 'solid',
      jamb_width: 5 * inch,
    });
    expect(spec.casing_a?.style).toBe('butt_head');
    expect(spec.seen_from_above).toBeUndefined();
  });

  it('takes casing and grade from another kind, and nothing else', () => {
    const pattern: Spec = {
      unit: { kind: 'door', grade: 'stain', slab_width: 36 * inch },
      casing_a: { style: 'butt_head', width: 3 * inch, thickness: inch },
    };
    const { spec } = newDraft('window', 'Garden window', pattern);
    expect(spec.unit.slab_width).toBe(36 * inch);
    expect(spec.unit.slab_height).toBe(48 * inch);
    expect(spec.unit.grade).toBe('stain');
    expect(spec.casing_a?.style).toBe('butt_head');
    expect(spec.casing_b).toBeUndefined();
  });

  it('leaves what only the maker’s sheet can say unsaid', () => {
    const { unit } = newDraft('pocket', 'Bath pocket').spec;
    expect([unit.frame_width, unit.lap, unit.track_allowance]).toEqual([
      undefined,
      undefined,
      undefined,
    ]);
  });

  it('says nothing rather than zero, empty or no', () => {
    const draft = change(newDraft('door', 'x'), {
      leg_length: 81 * inch,
      exit: true,
      fire_label: '20',
    });
    const back = change(draft, { leg_length: 0, exit: false, fire_label: '' });
    expect(Object.keys(back.spec.unit)).not.toContain('leg_length');
    expect(Object.keys(back.spec.unit)).not.toContain('exit');
    expect(Object.keys(back.spec.unit)).not.toContain('fire_label');
  });

  it('turns into another kind with its frame and grade, not its slab', () => {
    const door = change(newDraft('door', 'x'), { jamb_width: 5 * inch, grade: 'stain' });
    const { unit } = changeKind(door, 'cased_opening').spec;
    expect(unit.jamb_width).toBe(5 * inch);
    expect(unit.grade).toBe('stain');
    expect([unit.slab_width, unit.hinge_on, unit.core]).toEqual([undefined, undefined, undefined]);
    expect(changeKind(door, 'window').spec.unit.jamb_width).toBeUndefined();
  });

  it('cases each face by itself; a face without takes after the other', () => {
    let draft = changeCasing(newDraft('door', 'x'), 'b', null);
    expect(draft.spec.casing_b).toBeUndefined();
    expect(draft.spec.casing_a).toBeDefined();
    draft = changeCasing(draft, 'a', { width: 4 * inch });
    draft = changeCasing(draft, 'b', { style: 'butt_head' });
    expect(draft.spec.casing_b).toEqual({ ...draft.spec.casing_a, style: 'butt_head' });
    expect(draft.spec.casing_a?.style).toBe('mitered');
  });

  it('offers whole nanometers that read as they are lettered', () => {
    for (const { label, nm } of Object.values(nominal.in).flat()) {
      const [whole = '0', part] =
        label.includes('/') && !label.includes(' ') ? ['0', label] : label.split(' ');
      const [over = '0', under = '1'] = part?.split('/') ?? [];
      expect(nm, label).toBe(Number(whole) * inch + (Number(over) * inch) / Number(under));
    }
    for (const { label, nm } of Object.values(nominal.mm).flat()) {
      expect(nm, label).toBe(Number(label) * 1_000_000);
    }
  });
});

describe('house rules in force', () => {
  const rule = (
    key: string,
    value: number,
    origin: 'built_in' | 'company',
  ): HouseRules['rules'][number] => ({
    key,
    kind: 'length',
    default: 1,
    min: 0,
    max: 9,
    basis: 'common practice',
    value,
    origin,
  });
  const table = [
    rule('reveal', 1, 'built_in'),
    rule('hinge_gap', 2, 'company'),
    rule('top_gap', 3, 'built_in'),
  ];
  const job = { rules: { reveal: 4, hinge_gap: 5 } } as unknown as JobView;
  const room = { rules: { hinge_gap: 6 } } as unknown as RoomView;
  const here = (list: ReturnType<typeof rulesHere>) =>
    list.map(({ rule: { key }, value, origin }) => `${key} ${value} ${origin}`);

  it('the innermost that sets one counts', () => {
    expect(here(rulesHere(table, job))).toEqual([
      'reveal 4 job',
      'hinge_gap 5 job',
      'top_gap 3 built_in',
    ]);
    expect(here(rulesHere(table, job, room))).toEqual([
      'reveal 4 job',
      'hinge_gap 6 room',
      'top_gap 3 built_in',
    ]);
    expect(here(rulesHere(table, {} as JobView))).toEqual([
      'reveal 1 built_in',
      'hinge_gap 2 company',
      'top_gap 3 built_in',
    ]);
  });

  it('for an opening they are as the server said; its own are those it set', () => {
    const item = {
      rules: [
        { key: 'reveal', kind: 'length', value: 7, origin: 'item' },
        { key: 'hinge_gap', kind: 'length', value: 6, origin: 'room' },
      ],
    } as unknown as ItemView;
    expect(here(rulesHere(table, job, room, item))).toEqual([
      'reveal 7 item',
      'hinge_gap 6 room',
      'top_gap 3 built_in',
    ]);
    expect(placeOf(job, room, item)).toEqual({ origin: 'item', own: { reveal: 7 } });
    expect(placeOf(job, room)).toEqual({ origin: 'room', own: { hinge_gap: 6 } });
  });

  it('setting one keeps the others, taking one back keeps none of it', () => {
    expect(withRule({ a: 1 }, 'b', 2)).toEqual({ a: 1, b: 2 });
    expect(withRule({ a: 1, b: 2 }, 'a', undefined)).toEqual({ b: 2 });
  });

  it('every rule stands in one group, also one this app does not know', () => {
    const list = rulesHere([...table, rule('new_rule', 1, 'built_in')], job);
    expect(
      grouped(list).map(([group, rules]) => [group, rules.map((each) => each.rule.key)]),
    ).toEqual([
      ['gaps', ['hinge_gap', 'top_gap', 'reveal']],
      ['other', ['new_rule']],
    ]);
  });
});

describe('pages of the log', () => {
  const entry = (seq: number, did_at: string): EntryView => ({
    seq,
    kind: 'note',
    person_id: 'p',
    did_at,
    logged_at: did_at,
    sentence: 's',
    command_id: 'c',
  });
  const list = (from: number, to: number) =>
    Array.from({ length: to - from + 1 }, (_, at) => entry(from + at, '2026-11-25T12:00:00Z'));

  it('an entry fetched twice stands once', () => {
    expect(joined(list(5, 6).reverse(), list(4, 6)).map(({ seq }) => seq)).toEqual([6, 5, 4]);
  });

  it('are asked for by the address, and the address says what was asked', () => {
    const filter = filterOf('?room=r1&stage=hung&odd=1&kind=');
    expect(filter).toEqual({ room: 'r1', stage: 'hung' });
    expect(searchOf(filter)).toBe('?room=r1&stage=hung');
    expect(searchOf({})).toBe('');
  });

  it('stand under the day the work was done', () => {
    const days = byDay([
      entry(3, '2026-11-25T12:00:00'),
      entry(2, '2026-11-23T12:00:00'),
      entry(1, '2026-11-23T11:00:00'),
    ]);
    expect(days.map(([, entries]) => entries.map(({ seq }) => seq))).toEqual([[3], [2, 1]]);
  });
});

import { signal } from '@preact/signals';

/** Where in the walk the homeowner is. It lies behind the #, so that the browser's back goes back. */
export type Place =
  | { readonly at: 'rooms' }
  | { readonly at: 'room'; readonly room: string }
  | { readonly at: 'say'; readonly room: string; readonly item: string | null }
  | { readonly at: 'remark'; readonly id: string }
  | { readonly at: 'sign'; readonly room: string | null };

export const place = signal<Place>({ at: 'rooms' });

/** The secret of a link that was just opened, taken out of the address. */
export function takeSecret(): string {
  const behind = location.hash.slice(1);
  if (behind === '' || behind.startsWith('/')) return '';
  history.replaceState(null, '', location.pathname);
  return behind;
}

export function address(to: Place): string {
  switch (to.at) {
    case 'room':
      return `#/room/${to.room}`;
    case 'say':
      return `#/say/${to.room}/${to.item ?? ''}`;
    case 'remark':
      return `#/remark/${to.id}`;
    case 'sign':
      return `#/sign/${to.room ?? ''}`;
    case 'rooms':
      return '#/';
  }
}

export function readPlace(hash: string): Place {
  const [, at, first = '', second = ''] = hash.replace(/^#/, '').split('/');
  if (at === 'room' && first !== '') return { at, room: first };
  if (at === 'say' && first !== '') return { at, room: first, item: second === '' ? null : second };
  if (at === 'remark' && first !== '') return { at, id: first };
  if (at === 'sign') return { at, room: first === '' ? null : first };
  return { at: 'rooms' };
}

export function go(to: Place): void {
  location.hash = address(to);
}

/** Follows the address. Returns how to stop. */
export function followPlace(): () => void {
  const arrive = () => {
    place.value = readPlace(location.hash);
    scrollTo(0, 0);
  };
  arrive();
  addEventListener('hashchange', arrive);
  return () => removeEventListener('hashchange', arrive);
}

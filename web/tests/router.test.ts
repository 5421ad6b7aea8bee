import { describe, expect, it } from 'vitest';
import { matchRoute } from '../src/router.ts';
import { t } from '../src/words/words.ts';

const routes = [
  { path: '/' },
  { path: '/bench/rooms/:room' },
  { path: '/bench/*' },
  { path: '/sign-in' },
];

describe('the router', () => {
  it('takes the first route that fits, with its parameters', () => {
    const at = (path: string) => matchRoute(routes, path)?.route.path ?? null;
    expect(at('/')).toBe('/');
    expect(at('/bench/rooms/bed%202')).toBe('/bench/rooms/:room');
    expect(matchRoute(routes, '/bench/rooms/bed%202')?.params).toEqual({ room: 'bed 2' });
    expect(at('/bench')).toBe('/bench/*');
    expect(at('/bench/rooms')).toBe('/bench/*');
    expect(at('/sign-in/')).toBe('/sign-in');
    expect(at('/sign-in/more')).toBeNull();
    expect(at('/elsewhere')).toBeNull();
    expect(matchRoute(routes, '/bench/rooms/%E0%A4%A')?.params).toEqual({ room: '%E0%A4%A' });
  });
});

describe('words', () => {
  it('fills in names and chooses the plural', () => {
    expect(t('sync.unsent', { count: 1 })).toBe('1 entry not sent');
    expect(t('sync.unsent', { count: 3 })).toBe('3 entries not sent');
    expect(t('drawing.exaggerated', { times: 8 })).toBe(
      'Gaps, leans and slopes drawn 8 times their size.',
    );
    expect(t('drawing.exaggerated')).toBe('Gaps, leans and slopes drawn {times} times their size.');
  });
});

import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import type { JobView } from '../src/api/views.ts';
import { ForecastScreen } from '../src/board/forecast-screen.tsx';
import { Log } from '../src/board/log.tsx';
import { RulesScreen } from '../src/board/rules.tsx';
import { WalksScreen } from '../src/board/walks.tsx';
import { jobCell } from '../src/live/shown.ts';
import { askAgain, useStock } from '../src/saw/stock.ts';

let status = 200;
let place: HTMLElement;
const sheet = { list: [], rack: [], seq: 1 };
beforeEach(() => {
  vi.stubGlobal('fetch', (path: string) => {
    if (path.endsWith('/stock') && status === 200) return Promise.resolve(Response.json(sheet));
    if (status === 200) return Promise.reject(new Error('no signal'));
    return Promise.resolve(
      Response.json(
        { title: 'busy', detail: 'Said by the service.' },
        { status, headers: { 'Content-Type': 'application/problem+json' } },
      ),
    );
  });
  jobCell('job').value = {
    view: {
      id: 'job',
      name: 'The house',
      unit: 'in',
      seq: 3,
      rooms: [],
      stages: [],
    } as unknown as JobView,
  };
  place = document.body.appendChild(document.createElement('div'));
});
afterEach(() => {
  render(null, place);
  place.remove();
  vi.unstubAllGlobals();
});

const settled = () => new Promise((resolve) => setTimeout(resolve, 20));
const show = (screen: preact.ComponentChild) =>
  act(async () => {
    render(screen, place);
    await settled();
  });

const screens = {
  log: () => <Log job="job" />,
  walks: () => <WalksScreen job="job" />,
  rules: () => <RulesScreen job="job" />,
  forecast: () => <ForecastScreen job="job" />,
};
it.each(
  (['log', 'walks', 'rules', 'forecast'] as const).flatMap((name) =>
    [429, 503].map((code) => [name, code] as const),
  ),
)('%s: a busy service (%i) is asked again, and nothing is taken for gone', async (name, code) => {
  status = code;
  await show(screens[name]());
  await vi.waitFor(() => expect(place.textContent).toContain('Try again'));
  expect(place.textContent).not.toContain('Said by the service.');
});

it.each(['log', 'walks', 'rules', 'forecast'] as const)('%s: a no is said', async (name) => {
  status = 403;
  await show(screens[name]());
  await vi.waitFor(() => expect(place.textContent).toContain('Said by the service.'));
});

function Saw() {
  const { sheet: shown, offline, gone } = useStock('job');
  return <p>{JSON.stringify({ seq: shown?.seq, offline, gone })}</p>;
}
const again = () =>
  act(async () => {
    askAgain('job');
    await settled();
  });

it('the saw’s sheet stays in view while the service is busy, and goes when it says no', async () => {
  status = 200;
  await show(<Saw />);
  expect(JSON.parse(place.textContent ?? '')).toEqual({ seq: 1 });
  for (const code of [503, 429]) {
    status = code;
    await again();
    expect(JSON.parse(place.textContent ?? '')).toEqual({ seq: 1, offline: true });
  }
  status = 404;
  await again();
  expect(JSON.parse(place.textContent ?? '')).toEqual({ gone: 'Said by the service.' });
});

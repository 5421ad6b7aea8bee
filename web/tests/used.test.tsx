import { render } from 'preact';
import { act } from 'preact/test-utils';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { ItemView, JobView, Me } from '../src/api/views.ts';
import { type Used, useUsed } from '../src/bench/used.tsx';
import { jobCell } from '../src/live/shown.ts';
import { session } from '../src/sign-in/session.ts';

let box: HTMLElement;
let used: Used | null = null;

const person = (id: string) => ({ state: 'in', me: { person_id: id } as Me }) as const;
const item = (job: string, unit: 'in' | 'mm') => ({ job_id: job, unit }) as ItemView;
const products = [{ product_id: 'p', kind: 'paint', name: 'Enamel' }];

function Panel(props: { view: ItemView }) {
  const here = useUsed(props.view, 'paint');
  used = here.used;
  return here.picker;
}

beforeEach(() => {
  session.value = person('marco');
  for (const job of ['oak', 'elm'])
    jobCell(job).value = { view: { products } as unknown as JobView };
  jobCell('bare').value = { view: {} as JobView };
  box = document.createElement('div');
  document.body.append(box);
});

afterEach(() => {
  act(() => render(null, box));
  box.remove();
});

const look = (view: ItemView) => act(() => render(<Panel key={view.job_id} view={view} />, box));
const choose = (value: string) =>
  act(() => (box.querySelector(`input[value="${value}"]`) as HTMLInputElement).click());
const fields = () => [...box.querySelectorAll<HTMLInputElement>('.used-air input')];
const write = (...texts: string[]) => {
  for (const [at, text] of texts.entries()) {
    act(() => {
      const field = fields()[at] as HTMLInputElement;
      field.value = text;
      field.dispatchEvent(new Event('input', { bubbles: true }));
    });
  }
};
const odd = () => fields().map((field) => field.getAttribute('aria-invalid'));

it('the air goes into the log only where it is asked for, and is of this house, person and scale', () => {
  look(item('oak', 'in'));
  expect([fields().length, used]).toEqual([0, {}]);
  choose('p');
  write('72', '45');
  expect(used).toEqual({ product_id: 'p', celsius_tenths: 222, humidity_tenths: 450 });
  // A product that is not listed has no sheet to compare the air with.
  choose('');
  expect([fields().length, used]).toEqual([0, {}]);
  choose('p');
  expect(fields().map(({ value }) => value)).toEqual(['72', '45']);
  look(item('bare', 'in'));
  expect(used).toEqual({});
  look(item('elm', 'mm'));
  choose('p');
  expect(used).toEqual({ product_id: 'p' });
  look(item('oak', 'in'));
  expect(used).toEqual({ product_id: 'p', celsius_tenths: 222, humidity_tenths: 450 });
  session.value = person('ana');
  look(item('oak', 'in'));
  expect(used).toEqual({ product_id: 'p' });
});

it('what is no number is said at its own field, and holds nothing back where no field is', () => {
  look(item('oak', 'in'));
  choose('p');
  write('70', 'damp');
  expect([odd(), used]).toEqual([['false', 'true'], null]);
  write('warm', '45');
  expect([odd(), used]).toEqual([['true', 'false'], null]);
  // The panel opened again says so at once.
  act(() => render(null, box));
  look(item('oak', 'in'));
  expect(odd()).toEqual(['true', 'false']);
  choose('');
  expect(used).toEqual({});
});

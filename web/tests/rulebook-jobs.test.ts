import { describe, expect, it } from 'vitest';
import { CallRefused, jobsOver, type Reader } from '../src/rulebook/jobs.ts';
import { RulebookError } from '../src/rulebook/rulebook.ts';
import { sameText, textOf } from '../src/rulebook/view-text.ts';

const reader: Reader = {
  language: 'en',
  unit: 'in',
  step: 1_587_500,
  now: '2026-03-12T09:00:00Z',
};

function book(answer: unknown) {
  const asked: [string, unknown][] = [];
  return {
    asked,
    call: (name: string, input: unknown) => {
      asked.push([name, input]);
      return Promise.resolve(answer);
    },
    callText: (name: string, json: string) => {
      asked.push([name, JSON.parse(json)]);
      return Promise.resolve(typeof answer === 'string' ? answer : JSON.stringify(answer));
    },
  };
}

describe('jobs kept open in the rule book', () => {
  it('asks by the name the job was opened under', async () => {
    const rules = book({ ok: true, seq: 7, touched: ['i'], view: { id: 'i' } });
    const jobs = jobsOver(rules);
    expect(await jobs.open('shown')).toBe(7);
    expect(await jobs.copy('job', 'shown')).toBe(7);
    expect((await jobs.apply('job', [])).touched).toEqual(['i']);
    expect((await jobs.viewItem('shown', 'i', { coats: 3 }, reader)).id).toBe('i');
    expect(rules.asked).toEqual([
      ['open', { as: 'shown', state: undefined }],
      ['copy', { from: 'job', as: 'shown' }],
      ['apply', { as: 'job', entries: [] }],
      ['view_item', { as: 'shown', item: 'i', company: { coats: 3 }, reader }],
    ]);
  });

  it('carries states and entries as text, unread', async () => {
    const state = '{"job":null,"rooms":{},"items":{},"seq":7}';
    const rules = book(`{"ok":true,"state":${state}}`);
    expect(await jobsOver(rules).stateText('job')).toBe(state);
    const opening = book({ ok: true, seq: 7, touched: [] });
    expect(await jobsOver(opening).openText('a "job"', state)).toBe(7);
    expect((await jobsOver(opening).applyText('job', '[{"seq":7}]')).seq).toBe(7);
    expect(opening.asked).toEqual([
      ['open', { as: 'a "job"', state: JSON.parse(state) }],
      ['apply', { as: 'job', entries: [{ seq: 7 }] }],
    ]);
    const gone = book('{"ok":false,"code":"not_open","sentence":"No job is open."}');
    await expect(jobsOver(gone).stateText('job')).rejects.toBeInstanceOf(CallRefused);
  });

  it('reads a view as the text it came as, and answers that text again', async () => {
    const view = '{"id":"i","name":"Linen closet door"}';
    const read = await jobsOver(book(`{"ok":true,"view":${view}}`)).viewItem('j', 'i', {}, reader);
    expect(read).toEqual({ id: 'i', name: 'Linen closet door' });
    expect(textOf(read)).toBe(view);
    expect(textOf({ ...read })).toBe(view);
  });

  it('knows the same view written another way from another view', async () => {
    const written = '{"id":"i","name":"Door \\u003c 80"}';
    const read = await jobsOver(book(`{"ok":true,"view":${written}}`)).viewItem(
      'j',
      'i',
      {},
      reader,
    );
    expect(textOf(read)).toBe(written);
    expect(sameText(read, { id: 'i', name: 'Door < 80' })).toBe(true);
    expect(sameText(read, { id: 'i', name: 'Door > 80' })).toBe(false);
  });

  it('throws a refusal with the code a caller acts on', async () => {
    const jobs = jobsOver(book({ ok: false, code: 'gap', sentence: 'Entry 4 is missing.' }));
    const refused = await jobs.apply('job', []).catch((cause: unknown) => cause);
    expect(refused).toBeInstanceOf(CallRefused);
    expect(refused).toMatchObject({ code: 'gap', message: 'Entry 4 is missing.' });
  });

  it('takes nothing else for an answer', async () => {
    for (const answer of [null, '"x"', {}, { ok: false }, { view: {} }]) {
      await expect(jobsOver(book(answer)).viewJob('job', {}, reader)).rejects.toBeInstanceOf(
        RulebookError,
      );
    }
  });
});

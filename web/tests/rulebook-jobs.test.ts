import { describe, expect, it } from 'vitest';
import { CallRefused, jobsOver, type Reader } from '../src/rulebook/jobs.ts';
import { RulebookError } from '../src/rulebook/rulebook.ts';

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

  it('throws a refusal with the code a caller acts on', async () => {
    const jobs = jobsOver(book({ ok: false, code: 'gap', sentence: 'Entry 4 is missing.' }));
    const refused = await jobs.apply('job', []).catch((cause: unknown) => cause);
    expect(refused).toBeInstanceOf(CallRefused);
    expect(refused).toMatchObject({ code: 'gap', message: 'Entry 4 is missing.' });
  });

  it('takes nothing else for an answer', async () => {
    for (const answer of [null, 'x', {}, { ok: false }, { view: {} }]) {
      await expect(jobsOver(book(answer)).viewJob('job', {}, reader)).rejects.toBeInstanceOf(
        RulebookError,
      );
    }
  });
});

import { describe, expect, it, vi } from 'vitest';
import { fakeRulebook } from '../src/rulebook/fake.ts';
import { callerOver, type RulesWorker, rulebook } from '../src/rulebook/load.ts';
import type { Question } from '../src/rulebook/messages.ts';
import { RulebookError, rulebookOver } from '../src/rulebook/rulebook.ts';

function worker(): RulesWorker & { asked: Question[] } {
  const asked: Question[] = [];
  return {
    asked,
    onmessage: null,
    onerror: null,
    postMessage: (question) => {
      asked.push(question);
    },
  };
}
const answer = (to: RulesWorker, data: unknown) => to.onmessage?.({ data } as MessageEvent<never>);

describe('the door to the rule book', () => {
  it('asks by name in JSON and gives each answer to the one who asked, in any order', async () => {
    const rules = worker();
    const book = rulebookOver(callerOver(rules));
    const first = book.parseLength('79 5/8', 'in');
    const second = book.printLength(2_022_475_000, 'in', 1_587_500);
    const words = { language: 'en', at: '/rule-words/en' };
    expect(rules.asked).toEqual([
      { id: 1, name: 'parse_length', json: '{"text":"79 5/8","unit":"in"}', words },
      { id: 2, name: 'print_length', json: '{"nm":2022475000,"unit":"in","step":1587500}', words },
    ]);
    answer(rules, { id: 2, json: '{"text":"79 5/8"}' });
    answer(rules, { id: 1, json: '{"nm":2022475000,"text":"79 5/8"}' });
    expect(await second).toBe('79 5/8');
    expect(await first).toEqual({ nm: 2_022_475_000, text: '79 5/8' });
  });

  it('passes a refusal on as its sentence', async () => {
    const book = rulebookOver(() => Promise.resolve('{"sentence":"Type the nearest 1/16."}'));
    expect(await book.parseLength('5/7', 'in')).toEqual({ sentence: 'Type the nearest 1/16.' });
  });

  it('never lets an answer through that is no length', async () => {
    for (const json of [
      '{"nm":1.5,"text":"x"}',
      '{"nm":"79","text":"x"}',
      '{"nm":1}',
      'null',
      '{}',
    ]) {
      const book = rulebookOver(() => Promise.resolve(json));
      await expect(book.parseLength('79', 'in'), json).rejects.toBeInstanceOf(RulebookError);
    }
  });

  it('fails the call whose rules failed, and all waiting ones when the worker breaks', async () => {
    const rules = worker();
    const book = rulebookOver(callerOver(rules));
    const one = book.call('view', {});
    answer(rules, { id: 1, error: 'rulebook.wasm did not set longpoint_call' });
    await expect(one).rejects.toThrow('longpoint_call');
    const two = book.call('view', {});
    rules.onerror?.({ message: 'gone' } as ErrorEvent);
    await expect(two).rejects.toThrow('gone');
    // Whoever still holds this one is not left waiting for a worker that answers nothing.
    await expect(book.call('view', {})).rejects.toThrow('gone');
    expect(rules.asked).toHaveLength(2);
  });

  it('is opened anew by the next call when the worker itself could not be loaded', async () => {
    const made: (RulesWorker & { asked: Question[]; terminate: () => void })[] = [];
    vi.stubGlobal(
      'Worker',
      class {
        constructor() {
          const one = { ...worker(), terminate: vi.fn() };
          made.push(one);
          // biome-ignore lint/correctness/noConstructorReturn: what is made stands for a worker.
          return one;
        }
      },
    );
    const first = rulebook().call('view', {});
    made[0]?.onerror?.({ message: 'worker.js: no signal' } as ErrorEvent);
    await expect(first).rejects.toThrow('no signal');
    const second = rulebook().call('view', {});
    expect(made.map(({ asked }) => asked.length)).toEqual([1, 1]);
    expect(made[0]?.terminate).toHaveBeenCalled();
    if (made[1] !== undefined) answer(made[1], { id: 1, json: '7' });
    expect(await second).toBe(7);
    vi.unstubAllGlobals();
  });

  it('has a fake that knows only what it is told', async () => {
    const book = fakeRulebook({ '30': { nm: 762_000_000, text: '30' } }, 'No.');
    expect(await book.parseLength(' 30 ', 'in')).toEqual({ nm: 762_000_000, text: '30' });
    expect(await book.parseLength('31', 'in')).toEqual({ sentence: 'No.' });
    expect(await book.printLength(762_000_000, 'in', 1)).toBe('30');
    await expect(book.printLength(1, 'in', 1)).rejects.toBeInstanceOf(RulebookError);
  });
});

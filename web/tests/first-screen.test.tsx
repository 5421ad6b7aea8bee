import { options, render } from 'preact';
import { useEffect, useLayoutEffect } from 'preact/hooks';
import { afterEach, expect, it, vi } from 'vitest';
import { firstScreenFirst, somethingSeen } from '../src/shell/after-frame.ts';

afterEach(() => {
  vi.useRealTimers();
  delete options.requestAnimationFrame;
});

function Screen(props: { told: string[]; name: string }) {
  useLayoutEffect(() => {
    props.told.push(`${props.name} laid out`);
  }, []);
  useEffect(() => {
    props.told.push(`${props.name} begun`);
  }, []);
  return <p>{props.name}</p>;
}

it('what a first screen that stands sets going begins two frames on, and of later ones as ever', async () => {
  const frames: FrameRequestCallback[] = [];
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
  vi.stubGlobal('requestAnimationFrame', (work: FrameRequestCallback) => frames.push(work));
  vi.stubGlobal('cancelAnimationFrame', () => undefined);
  const frame = () => {
    for (const work of frames.splice(0)) work(0);
    vi.advanceTimersByTime(0);
  };
  const told: string[] = [];
  firstScreenFirst(true);
  render(<Screen told={told} name="first" />, document.createElement('div'));
  expect(told).toEqual(['first laid out']);
  expect(somethingSeen()).toBe(false);
  frame();
  expect(told).toEqual(['first laid out']);
  expect(somethingSeen()).toBe(true);
  frame();
  expect(told).toEqual(['first laid out', 'first begun']);

  render(<Screen told={told} name="second" />, document.createElement('div'));
  expect(options.requestAnimationFrame).toBeUndefined();
  frame();
  expect(told.at(-1)).toBe('second begun');
  vi.unstubAllGlobals();
});

it('a first screen that waits for the service asks it after one frame', () => {
  const frames: FrameRequestCallback[] = [];
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
  vi.stubGlobal('requestAnimationFrame', (work: FrameRequestCallback) => frames.push(work));
  vi.stubGlobal('cancelAnimationFrame', () => undefined);
  const told: string[] = [];
  firstScreenFirst(false);
  render(<Screen told={told} name="bare" />, document.createElement('div'));
  expect(told).toEqual(['bare laid out']);
  for (const work of frames.splice(0)) work(0);
  vi.advanceTimersByTime(0);
  expect(told).toEqual(['bare laid out', 'bare begun']);
  vi.unstubAllGlobals();
});

it('a page that nobody looks at begins all the same', () => {
  vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
  vi.stubGlobal('requestAnimationFrame', () => 0);
  vi.stubGlobal('cancelAnimationFrame', () => undefined);
  const told: string[] = [];
  firstScreenFirst(true);
  render(<Screen told={told} name="hidden" />, document.createElement('div'));
  vi.advanceTimersByTime(2_000);
  expect(told).toEqual(['hidden laid out', 'hidden begun']);
  vi.unstubAllGlobals();
});

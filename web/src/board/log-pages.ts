import { ask } from '../api/client.ts';
import type { components } from '../api/schema.ts';

export type LogEntry = components['schemas']['LogEntry'];
export type LogPage = components['schemas']['LogPage'];

/** What is asked of a log; what is left out does not count. */
export interface LogFilter {
  readonly person?: string;
  readonly room?: string;
  readonly item?: string;
  readonly stage?: string;
  readonly kind?: string;
}

export const filterKeys = ['person', 'room', 'item', 'stage', 'kind'] as const;

/** The filter an address asks for, so that a filtered log can be sent to somebody. */
export function filterOf(search: string): LogFilter {
  const asked = new URLSearchParams(search);
  const out: Record<string, string> = {};
  for (const key of filterKeys) {
    const value = asked.get(key);
    if (value !== null && value !== '') out[key] = value;
  }
  return out;
}

export function searchOf(filter: LogFilter): string {
  const out = new URLSearchParams();
  for (const key of filterKeys) {
    const value = filter[key];
    if (value !== undefined) out.set(key, value);
  }
  const text = out.toString();
  return text === '' ? '' : `?${text}`;
}

/** A page of the log, the last entry first, below a number; 0 begins with the last. */
export function logPage(job: string, filter: LogFilter, before: number): Promise<LogPage> {
  const asked = searchOf(filter);
  const from = before > 0 ? `${asked === '' ? '?' : '&'}before=${before}` : '';
  return ask(`/jobs/${job}/history${asked}${from}`);
}

/** Newest first: pages laid over one another, each entry once. */
export function joined(known: readonly LogEntry[], page: readonly LogEntry[]): LogEntry[] {
  const all = new Map([...known, ...page].map((entry) => [entry.seq, entry]));
  return [...all.values()].sort((a, b) => b.seq - a.seq);
}

/**
 * Entries under the day they were done, in the order they stand. Work done without a signal is
 * logged later than it was done, so a day can come up more than once.
 */
export function byDay(entries: readonly LogEntry[]): [string, LogEntry[]][] {
  const out: [string, LogEntry[]][] = [];
  for (const entry of entries) {
    const day = new Date(entry.did_at).toDateString();
    const last = out.at(-1);
    if (last !== undefined && new Date(last[1][0]?.did_at ?? '').toDateString() === day) {
      last[1].push(entry);
    } else out.push([`${day} ${entry.seq}`, [entry]]);
  }
  return out;
}

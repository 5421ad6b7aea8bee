import type { Entry } from '../rulebook/jobs.ts';
import type { LogRow } from './db.ts';

/*
 * What the service answers to a pull, kept as the text it came as: it is the rule book's to read, and
 * a page of a large job's log takes a phone longer to parse and write again than to carry.
 */

/** The state out of a job's answer, and the last entry in it. */
export function readState(text: string): { readonly state: string; readonly seq: number } {
  const head = /^\{"seq":(\d+),"state":(?=\{)/.exec(text);
  const end = text.lastIndexOf('},"company":');
  if (head !== null && end > 0) {
    return { state: text.slice(head[0].length, end + 1), seq: Number(head[1]) };
  }
  const answer = JSON.parse(text) as { seq: number; state: unknown };
  return { state: JSON.stringify(answer.state), seq: answer.seq };
}

/** A page of the log, read no further than its edges: its entries are the rule book's to read. */
export function readPage(text: string): {
  readonly entries: string;
  readonly more: boolean;
  readonly firstSeq: number;
  readonly lastSeq: LogRow['last_seq'];
} {
  const head = /^\{"entries":(?=\[)/.exec(text);
  const tail = /,"seq":\d+,"more":(true|false)(?:,"server_time":"[^"]*")?\}\s*$/.exec(
    text.slice(-160),
  );
  const first = /^\{"entries":\[\{"seq":(\d+),/.exec(text);
  if (head !== null && tail !== null && first !== null) {
    const entries = text.slice(head[0].length, text.length - tail[0].length);
    // Quotes within a text are escaped, so this is where an entry begins and nothing else.
    const last = entries.lastIndexOf('},{"seq":');
    return {
      entries,
      more: tail[1] === 'true',
      firstSeq: Number(first[1]),
      lastSeq: last < 0 ? Number(first[1]) : Number.parseInt(entries.slice(last + 9), 10),
    };
  }
  // Written in another order than expected: read in full.
  const page = JSON.parse(text) as { entries: Entry[]; more: boolean };
  return {
    entries: JSON.stringify(page.entries),
    more: page.more,
    firstSeq: page.entries[0]?.seq ?? 0,
    lastSeq: page.entries.at(-1)?.seq ?? 0,
  };
}

import type { Entry } from '../rulebook/jobs.ts';
import { readPage } from './pulled.ts';
import type { ReplicaConfig } from './replica.ts';

/** A job's log from before the job was first here, and reading in all of it without a signal. */
export interface OlderLog {
  /** Fetches what is missing before what is here, up to the entry that is held. */
  fetch(job: string, held: number): Promise<void>;
  /** What the log says of an item, the last first; null when the device does not hold all of it. */
  ofItem(job: string, item: string, held: number): Promise<Entry[] | null>;
}

// Stretches are small: between two of them everything else has its turn.
const olderMost = 1000;

export function olderLog(config: Pick<ReplicaConfig, 'eyes' | 'keep' | 'fetchLog'>): OlderLog {
  return {
    async fetch(job, held) {
      const { person } = config.eyes();
      const keep = await config.keep;
      for (;;) {
        const rows = await keep.log(person, job, 0);
        let have = 0;
        let next = held + 1;
        for (const row of rows) {
          if (row.first_seq > have + 1) {
            next = row.first_seq;
            break;
          }
          have = Math.max(have, row.last_seq);
        }
        const missing = next - 1 - have;
        if (missing <= 0) return;
        const page = readPage(await config.fetchLog(job, have, Math.min(missing, olderMost)));
        if (page.firstSeq !== have + 1 || page.lastSeq >= next) return;
        await keep.addOlderLog({
          person_id: person,
          job_id: job,
          first_seq: page.firstSeq,
          last_seq: page.lastSeq,
          entries: page.entries,
        });
      }
    },

    async ofItem(job, item, held) {
      const { person } = config.eyes();
      const rows = await (await config.keep).log(person, job, 0);
      let have = 0;
      for (const row of rows) {
        if (row.first_seq > have + 1) return null;
        have = Math.max(have, row.last_seq);
      }
      if (have < held) return null;
      return rows
        .filter(({ entries }) => entries.includes(item))
        .flatMap(({ entries }) => JSON.parse(entries) as Entry[])
        .filter(({ command }) => command.item_id === item)
        .reverse();
    },
  };
}

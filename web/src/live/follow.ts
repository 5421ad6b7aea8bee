/** Where a job's stream of changes comes from; a test has its own. */
export type OpenStream = (
  job: string,
  lastEventId: string | null,
  signal: AbortSignal,
) => Promise<ReadableStream<Uint8Array>>;

export interface Following {
  stop(): void;
}

export interface FollowConfig {
  readonly open?: OpenStream;
  /** Told of the log's last number whenever it is heard, and of the saw plan's mark with it. */
  readonly onSeq: (seq: number, stock: unknown) => void;
  /** Asked when streams fail: looks by itself and reports through onSeq. */
  readonly pull: () => Promise<void>;
  readonly wait?: (ms: number, signal: AbortSignal) => Promise<void>;
  readonly chance?: () => number;
}

const firstWait = 1_000;
const longestWait = 30_000;
// A browser keeps six connections to a service over HTTP/1.1, for all its tabs together. Streams
// leave room for what is asked; a job without one is asked for its number now and then.
export const streamsMost = 2;
let streams = 0;

/** Takes a stream's place; what is answered gives it back, once. */
function takePlace(): () => void {
  let taken = true;
  streams += 1;
  return () => {
    if (taken) streams -= 1;
    taken = false;
  };
}

// A stream that fails this often in a row is no stream here (a proxy that buffers, say): pull.
const failuresBeforePull = 2;
// The service says something every 20 s. A network that drops a phone without a word leaves a stream
// open on which nothing comes any more.
const silenceMost = 50_000;
// One that is cut off sooner than this without a word is no stream either.
const shortest = 5_000;

/**
 * Follows a job's log number. The stream is only a hint of when to pull, so losing it loses
 * nothing; while it cannot be had, the number is asked for instead, ever less often.
 */
export function follow(job: string, config: FollowConfig): Following {
  const open = config.open ?? openStream;
  const wait = config.wait ?? pause;
  const chance = config.chance ?? Math.random;
  const ended = new AbortController();
  let lastEventId: string | null = null;
  // The service spreads those it sends away at one moment.
  let asked: number | null = null;

  const run = async () => {
    let failures = 0;
    while (!ended.signal.aborted) {
      if (streams >= streamsMost) {
        await config.pull().catch(() => undefined);
        await wait(longestWait / 2 + (longestWait / 2) * chance(), ended.signal);
        continue;
      }
      const began = Date.now();
      let spoke = false;
      const giveBack = takePlace();
      const tried = new AbortController();
      const end = () => {
        giveBack();
        tried.abort();
      };
      // At once when it is stopped: what follows in its place begins before this is told.
      ended.signal.addEventListener('abort', end, { once: true });
      let silence = setTimeout(end, silenceMost);
      const beat = () => {
        clearTimeout(silence);
        silence = setTimeout(end, silenceMost);
      };
      try {
        const stream = await open(job, lastEventId, tried.signal);
        for await (const event of events(stream, beat)) {
          if (event.retry !== undefined) asked = Math.min(event.retry, longestWait);
          if (event.data === '') continue;
          failures = 0;
          spoke = true;
          if (event.id !== null) lastEventId = event.id;
          const said = saidIn(event.data);
          if (said !== null) config.onSeq(...said);
        }
        if (!spoke && Date.now() - began < shortest) failures += 1;
      } catch {
        failures += 1;
      } finally {
        clearTimeout(silence);
        ended.signal.removeEventListener('abort', end);
        giveBack();
      }
      if (ended.signal.aborted) return;
      if (failures >= failuresBeforePull) await config.pull().catch(() => undefined);
      const most = Math.min(firstWait * 2 ** failures, longestWait);
      const pause = failures === 0 && asked !== null ? asked : most / 2 + (most / 2) * chance();
      await wait(pause, ended.signal);
    }
  };
  void run();
  return { stop: () => ended.abort() };
}

export interface ServerEvent {
  readonly id: string | null;
  /** Empty where the service only said how long to wait. */
  readonly data: string;
  /** Milliseconds to wait before coming back, where this event asks for it. */
  readonly retry?: number;
}

/**
 * Reads server-sent events as the HTML standard cuts them: fields by line, events by blank line.
 * `beat` is told of everything that comes, comments too.
 */
export async function* events(
  stream: ReadableStream<Uint8Array>,
  beat: () => void = () => undefined,
): AsyncGenerator<ServerEvent> {
  const reader = stream.getReader();
  const decoder = new TextDecoder();
  let rest = '';
  let id: string | null = null;
  let data: string[] = [];
  let retry: number | null = null;
  try {
    for (;;) {
      const { done, value } = await reader.read();
      if (done) return;
      beat();
      rest += decoder.decode(value, { stream: true });
      const lines = rest.split(/\r\n|\n|\r(?!$)/);
      rest = lines.pop() ?? '';
      for (const line of lines) {
        if (line === '') {
          if (data.length > 0 || retry !== null) {
            yield { id, data: data.join('\n'), ...(retry === null ? {} : { retry }) };
          }
          data = [];
          retry = null;
        } else if (!line.startsWith(':')) {
          const [field, text] = fieldOf(line);
          if (field === 'id') id = text;
          if (field === 'data') data.push(text);
          if (field === 'retry' && /^\d+$/.test(text)) retry = Number(text);
        }
      }
    }
  } finally {
    reader.cancel().catch(() => undefined);
  }
}

function fieldOf(line: string): readonly [string, string] {
  const colon = line.indexOf(':');
  if (colon < 0) return [line, ''];
  return [line.slice(0, colon), line.slice(colon + 1).replace(/^ /, '')];
}

function saidIn(data: string): [number, unknown] | null {
  try {
    const said: unknown = JSON.parse(data);
    if (typeof said !== 'object' || said === null || !('seq' in said)) return null;
    return typeof said.seq === 'number' ? [said.seq, 'stock' in said && said.stock] : null;
  } catch {
    return null;
  }
}

async function openStream(job: string, lastEventId: string | null, signal: AbortSignal) {
  const answer = await fetch(`/api/v1/jobs/${job}/events`, {
    credentials: 'same-origin',
    cache: 'no-store',
    signal,
    headers: {
      Accept: 'text/event-stream',
      ...(lastEventId === null ? {} : { 'Last-Event-ID': lastEventId }),
    },
  });
  if (!answer.ok || answer.body === null) throw new Error(`no stream: ${answer.status}`);
  return answer.body;
}

function pause(ms: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, ms);
    signal.addEventListener('abort', () => {
      clearTimeout(timer);
      resolve();
    });
  });
}

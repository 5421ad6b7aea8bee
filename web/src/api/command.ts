import type { Command } from './views.ts';

/** The version of the commands this app writes; the rule book keeps accepting older ones. */
const version = 1;

export type CommandKind = Command['kind'];
type Bodied = Extract<CommandKind, keyof Command>;
export type CommandBody<K extends Bodied> = NonNullable<Command[K]>;

export interface About {
  readonly job: string;
  readonly room?: string;
  readonly item?: string;
  readonly walk?: string;
  /** The id the command is to have, where something was named before it was done. */
  readonly id?: string;
}

/** One thing a person did, with an id of its own from the moment it was done. */
export function command<K extends Bodied>(kind: K, about: About, body: CommandBody<K>): Command {
  return {
    id: about.id ?? newId(),
    v: version,
    kind,
    job_id: about.job,
    ...(about.room === undefined ? {} : { room_id: about.room }),
    ...(about.item === undefined ? {} : { item_id: about.item }),
    ...(about.walk === undefined ? {} : { walk_id: about.walk }),
    at: new Date().toISOString(),
    device: deviceName(),
    [kind]: body,
  };
}

// Keeps ids made within one millisecond in the order they were made (RFC 9562, 6.2, method 1).
let last = { ms: 0, count: 0 };

/** A UUIDv7: 48 bits of milliseconds, 12 that count up within one of them, 62 random ones. */
export function newId(now = Date.now()): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const seed = (((bytes[6] ?? 0) & 0x07) << 8) | (bytes[7] ?? 0);
  if (now > last.ms) last = { ms: now, count: seed };
  else if (last.count < 0xfff) last = { ms: last.ms, count: last.count + 1 };
  else last = { ms: last.ms + 1, count: seed };
  for (let at = 0, ms = last.ms; at < 6; at += 1, ms = Math.floor(ms / 256)) {
    bytes[5 - at] = ms % 256;
  }
  bytes[6] = 0x70 | (last.count >> 8);
  bytes[7] = last.count & 0xff;
  bytes[8] = 0x80 | ((bytes[8] ?? 0) & 0x3f);
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
  return `${hex.slice(0, 8)}-${hex.slice(8, 12)}-${hex.slice(12, 16)}-${hex.slice(16, 20)}-${hex.slice(20)}`;
}

/** What the log and the list of sessions call this device. */
export function deviceName(): string {
  const agent = navigator.userAgent;
  for (const [sign, name] of [
    ['iPhone', 'iPhone'],
    ['iPad', 'iPad'],
    ['Android', 'Android phone'],
    ['Macintosh', 'Mac'],
    ['Windows', 'Windows computer'],
    ['Linux', 'Linux computer'],
  ] as const) {
    if (agent.includes(sign)) return name;
  }
  return 'browser';
}

import { type About, type CommandBody, type CommandKind, command } from '../../web/src/api/command.ts';

type Bodied = Extract<CommandKind, keyof CommandBodies>;
type CommandBodies = { [K in CommandKind]: unknown };

/** One of the crew as the service hears them from elsewhere: no screen, the app's own commands. */
export interface Voice {
  ask<T>(path: string): Promise<T>;
  /** Does one thing, which the service has to take. Answers the command's id. */
  send<K extends Bodied>(kind: K, about: About, body: CommandBody<K>): Promise<string>;
}

export async function voiceOf(site: { url: string; passphrase: string }, name: string): Promise<Voice> {
  // The app's code says which device it runs on.
  if (!('navigator' in globalThis)) Object.assign(globalThis, { navigator: { userAgent: 'Linux' } });
  const api = `${site.url}/api/v1`;
  const entered = await fetch(`${api}/session`, {
    method: 'POST',
    headers: { 'Content-Type': 'application/json' },
    body: JSON.stringify({ sign_in: name, passphrase: site.passphrase }),
  });
  const cookie = entered.headers.getSetCookie().map((each) => each.split(';')[0]).join('; ');
  return {
    ask: async <T>(path: string) => (await (await fetch(api + path, { headers: { Cookie: cookie } })).json()) as T,
    async send(kind, about, body) {
      const made = command(kind, about, body);
      const answer = await fetch(`${api}/jobs/${about.job}/commands`, {
        method: 'POST',
        headers: { 'Content-Type': 'application/json', Cookie: cookie },
        body: JSON.stringify({ sent_at: new Date().toISOString(), commands: [made] }),
      });
      const said = await answer.text();
      if (!/"applied":true/.test(said)) throw new Error(`${kind} was not taken: ${said}`);
      return made.id;
    },
  };
}

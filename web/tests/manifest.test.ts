// @vitest-environment node
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';

const read = (path: string) => readFileSync(new URL(path, import.meta.url), 'utf8');

it("an installed app's first moment is the page's own color", () => {
  const tokens = read('../src/look/tokens.css');
  const [light] = /--primer: (#\w{6})/.exec(tokens)?.slice(1) ?? [];
  const dark = tokens.match(/--primer: (#\w{6})/g)?.[1]?.slice(-7);
  const manifest = JSON.parse(read('../public/manifest.webmanifest'));
  expect(manifest.theme_color).toBe(light);
  expect(manifest.background_color).toBe(light);
  const page = read('../index.html');
  const meta = [...page.matchAll(/name="theme-color" content="(#\w{6})"/g)].map(([, hex]) => hex);
  expect(meta).toEqual([light, dark]);
});

// Compares src/api/schema.ts with what the service describes now; fails when Go's types have moved
// on. Needs Go, and `npm ci` in tools/api-types (npm run api-types does it).
import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const web = new URL('..', import.meta.url).pathname;
const folder = mkdtempSync(join(tmpdir(), 'longpoint-api-'));
try {
  const described = join(folder, 'openapi.json');
  writeFileSync(
    described,
    execFileSync('go', ['run', './cmd/longpoint', 'openapi'], {
      cwd: join(web, '..'),
      maxBuffer: 64 << 20,
    }),
  );
  const made = join(folder, 'schema.ts');
  execFileSync('npm', ['run', '--silent', 'api-types', '--', described, '-o', made], {
    cwd: web,
    stdio: ['ignore', 'ignore', 'inherit'],
  });
  if (readFileSync(made, 'utf8') !== readFileSync(join(web, 'src/api/schema.ts'), 'utf8')) {
    console.error(
      'src/api/schema.ts is not what the service describes. Make it again:\n' +
        '  go run ./cmd/longpoint openapi > openapi.json && cd web && npm run api-types -- ../openapi.json -o src/api/schema.ts',
    );
    process.exitCode = 1;
  }
} finally {
  rmSync(folder, { recursive: true });
}

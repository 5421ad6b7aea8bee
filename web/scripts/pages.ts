import type { Plugin, Rollup } from 'vite';

/**
 * A page for each surface: index.html with the names of what that surface's first screen is made of,
 * so that it is fetched side by side and not one after another, and nothing else is. The service and
 * the service worker answer a screen's path with its page, and with index.html, which is the bench's,
 * where there is none. No script could do this: by the time one runs, a wave of files has gone by.
 */
const pages: Readonly<Record<string, string>> = {
  'index.html': '/bench/bench.tsx',
  'board.html': '/board/board.tsx',
  'board/crew.html': '/crew/crew.tsx',
  'join.html': '/join/join.tsx',
  'saw.html': '/saw/saw.tsx',
  'walk.html': '/walk/walk.tsx',
  'you.html': '/you/you.tsx',
};

/** Run by each page for itself, while everything else is still on its way. */
const firstRead = '/src/live/first-read.ts';

export function surfacePages(): Plugin {
  return {
    name: 'surface-pages',
    enforce: 'post',
    apply: 'build',
    generateBundle: {
      order: 'post',
      handler(_options, bundle) {
        const index = bundle['index.html'];
        if (index?.type !== 'asset') return; // the gallery
        const letters = Object.keys(bundle).filter((name) =>
          /public-sans-latin-\d.*\.woff2$/.test(name),
        );
        if (letters.length === 0) throw new Error('the build has no letters');
        const [reader] = chunksWith(bundle, firstRead);
        if (reader === undefined) throw new Error(`the build has no ${firstRead}`);
        const first = `<script type="module" async crossorigin src="/${reader.fileName}"></script>`;
        // Nothing is drawn before the app has run: a frame of an empty page would only hold it up.
        const plain = String(index.source).replace(
          '<script type="module"',
          `${first}\n    <script type="module" blocking="render"`,
        );
        if (!plain.includes('blocking="render"')) throw new Error('the page has no script');
        for (const [fileName, source] of Object.entries(pages)) {
          const links = [
            ...letters.map(
              (name) =>
                `<link rel="preload" as="font" type="font/woff2" crossorigin href="/${name}">`,
            ),
            ...linksOf(neededBy(source, bundle)),
          ].filter((link) => !plain.includes(link));
          const page = plain.replace(
            '</head>',
            `${links.map((link) => `  ${link}\n  `).join('')}</head>`,
          );
          if (fileName === 'index.html') index.source = page;
          else this.emitFile({ type: 'asset', fileName, source: page });
        }
      },
    },
  };
}

/** A surface's own chunk and all it is put together from, what is imported before what imports it. */
function neededBy(source: string, bundle: Rollup.OutputBundle): Rollup.OutputChunk[] {
  const chunks = chunksWith(bundle);
  const [surface] = chunksWith(bundle, source);
  if (surface === undefined) throw new Error(`the build has no ${source}`);
  const needed = new Set<Rollup.OutputChunk>();
  const seen = new Set<Rollup.OutputChunk>();
  const need = (chunk: Rollup.OutputChunk) => {
    if (seen.has(chunk)) return;
    seen.add(chunk);
    for (const each of chunks) if (chunk.imports.includes(each.fileName)) need(each);
    needed.add(chunk);
  };
  need(surface);
  return [...needed];
}

/** The chunks that a source went into, or all. */
function chunksWith(bundle: Rollup.OutputBundle, source = ''): Rollup.OutputChunk[] {
  return Object.values(bundle).flatMap((file) =>
    file.type === 'chunk' && file.moduleIds.some((id) => id.endsWith(source)) ? [file] : [],
  );
}

/** As the build itself writes them; a style sheet that the page has is not waited for by the script. */
function linksOf(chunks: readonly Rollup.OutputChunk[]): string[] {
  const styles = new Set(chunks.flatMap((chunk) => [...(chunk.viteMetadata?.importedCss ?? [])]));
  return [
    ...chunks.map(({ fileName }) => `<link rel="modulepreload" crossorigin href="/${fileName}">`),
    ...[...styles].map((name) => `<link rel="stylesheet" crossorigin href="/${name}">`),
  ];
}

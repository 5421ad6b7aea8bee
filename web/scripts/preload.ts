import type { Plugin } from 'vite';

/**
 * Names in the page what its first screen needs, so that it is fetched side by side and not one
 * after another: the bench's chunks, since that is where the app opens, and the letters.
 */
export function preload(): Plugin {
  return {
    name: 'preload',
    transformIndexHtml: {
      order: 'post',
      handler(_html, { bundle = {} }) {
        const files = Object.values(bundle);
        const chunks = files.flatMap((file) => (file.type === 'chunk' ? [file] : []));
        const bench = chunks.find(({ facadeModuleId }) =>
          facadeModuleId?.endsWith('/bench/bench.tsx'),
        );
        const letters = files.find(({ fileName }) =>
          /public-sans-latin-wght.*\.woff2$/.test(fileName),
        );
        // The gallery has neither.
        if (bench === undefined || letters === undefined) return;
        const entry = chunks.find(({ isEntry }) => isEntry);
        const named = new Set([entry?.fileName, ...(entry?.imports ?? [])]);
        // The page names itself what its own script imports.
        const needed = [bench, ...chunks.filter((each) => bench.imports.includes(each.fileName))];
        const link = (attrs: Record<string, string | boolean>) => ({
          tag: 'link',
          attrs,
          injectTo: 'head' as const,
        });
        return [
          link({
            rel: 'preload',
            as: 'font',
            type: 'font/woff2',
            crossorigin: true,
            href: `/${letters.fileName}`,
          }),
          ...needed
            .filter(({ fileName }) => !named.has(fileName))
            .flatMap(({ fileName, viteMetadata }) => [
              link({ rel: 'modulepreload', crossorigin: true, href: `/${fileName}` }),
              ...[...(viteMetadata?.importedCss ?? [])].map((css) =>
                link({ rel: 'preload', as: 'style', crossorigin: true, href: `/${css}` }),
              ),
            ]),
        ];
      },
    },
  };
}

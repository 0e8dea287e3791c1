import { svelte } from '@sveltejs/vite-plugin-svelte';
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import type { Plugin } from 'vite';
import { defineConfig } from 'vitest/config';

/** Write the worker that keeps the pages on the laptop, with the names of all they are made of. */
function shellWorker(): Plugin {
  return {
    name: 'shell-worker',
    apply: 'build',
    generateBundle(_, bundle) {
      const files = JSON.stringify(Object.keys(bundle).filter((name) => name.startsWith('assets/')).map((name) => `/${name}`).sort());
      const shell = `shell-${createHash('sha256').update(files).digest('hex').slice(0, 12)}`;
      const source = readFileSync(new URL('./shell_worker.js', import.meta.url), 'utf8').replace('__SHELL__', shell).replace('__FILES__', files);
      this.emitFile({ type: 'asset', fileName: 'sw.js', source });
    },
  };
}

/** With PAGES=rig,kit only the pages of these folders are built; the others are empty. For work on one page. */
function only(wanted: string | undefined): Plugin {
  const folders = wanted?.split(',');
  return {
    name: 'only',
    enforce: 'pre',
    resolveId(id, importer) {
      const folder = /^\.\/(\w+)\/\w+\.svelte$/.exec(id)?.[1];
      const left = folders && folder && importer?.endsWith('pages/pages.ts') && !folders.includes(folder);
      return left ? '\0empty-page' : null;
    },
    load: (id) => (id === '\0empty-page' ? 'export default () => {};' : null),
  };
}

// The built pages go where the server looks for them; they are never committed.
export default defineConfig({
  plugins: [only(process.env.PAGES), svelte(), shellWorker()],
  build: {
    outDir: '../src/haulwright/interfaces/web/app',
    emptyOutDir: true,
    target: 'es2022',
    assetsInlineLimit: 0, // every file from the server itself: the content policy allows nothing else
    modulePreload: { polyfill: false },
    chunkSizeWarningLimit: 400,
  },
  test: { environment: 'node', include: ['src/**/*.test.ts'] },
});

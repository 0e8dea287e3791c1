// Prints what the pages say behind each number, as JSON.
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';

const folder = process.argv[2];
const found = createRequire(join(folder, 'package.json')).resolve('vite/package.json');
const { build } = await import(pathToFileURL(join(found, '..', 'dist', 'node', 'index.js')).href);

async function load(file) {
  const [made] = await build({
    root: folder,
    configFile: false,
    logLevel: 'error',
    build: { write: false, minify: false, lib: { entry: join(folder, 'src', 'words', file), formats: ['es'] } },
  });
  return import(`data:text/javascript;base64,${Buffer.from(made.output[0].code).toString('base64')}`);
}

const { help } = await load('help.ts');
console.log(JSON.stringify(help));

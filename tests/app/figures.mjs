// Calls functions of the pages' figures.ts: a line of JSON with questions in, a line of JSON with answers out.
import { createRequire } from 'node:module';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { pathToFileURL } from 'node:url';

const folder = process.argv[2];
const found = createRequire(join(folder, 'package.json')).resolve('vite/package.json');
const { build } = await import(pathToFileURL(join(found, '..', 'dist', 'node', 'index.js')).href);
const [made] = await build({
  root: folder,
  configFile: false,
  logLevel: 'error',
  build: { write: false, minify: false, lib: { entry: join(folder, 'src', 'figures.ts'), formats: ['es'] } },
});
const figures = await import(`data:text/javascript;base64,${Buffer.from(made.output[0].code).toString('base64')}`);

const WORDS = { NaN, Infinity, '-Infinity': -Infinity };
const revived = (key, value) => (typeof value === 'string' && value in WORDS ? WORDS[value] : value);
const functions = () => Object.keys(figures).filter((name) => typeof figures[name] === 'function').sort();
for await (const line of createInterface({ input: process.stdin })) {
  const asked = JSON.parse(line, revived);
  console.log(JSON.stringify(asked.map(([name, ...given]) => (name === '*' ? functions() : figures[name](...given)))));
}

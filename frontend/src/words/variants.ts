/** Words that differ between Australia, the United Kingdom and the United States (common practice, no source).
 *
 *  Strings are written in British spelling with Australian words. What a reader named himself is never respelled: words
 *  in quotes, one-line notation and the words of a file stay as they are, and a sentence of the machine, which may hold
 *  such a name, is only respelled, never given another word. */
import type { Region } from '../state/settings.svelte';

export type Variant = [RegExp, (found: string) => string];

/** A word for another, with the capitals of the one it stands for. */
function word(ours: string, theirs: string): Variant {
  return [
    new RegExp(`(?<![\\w./-])${ours}(?![\\w/]|\\.\\w|-\\w)`, 'gi'),
    (found) => {
      if (found.length > 1 && found === found.toUpperCase()) return theirs.toUpperCase();
      return /^[A-Z]/.test(found) ? theirs.charAt(0).toUpperCase() + theirs.slice(1) : theirs;
    },
  ];
}

/** Spellings: of the strings of the pages and of the sentences of the machine. */
const SPELLED: [string, string][] = [
  ['tyre', 'tire'],
  ['tyres', 'tires'],
  ...['', 'kilo', 'centi', 'milli'].flatMap((of): [string, string][] => [
    [`${of}metre`, `${of}meter`],
    [`${of}metres`, `${of}meters`],
  ]),
  ['centre', 'center'],
  ['centres', 'centers'],
  ['centred', 'centered'],
  ['colour', 'color'],
  ['colours', 'colors'],
  ['coloured', 'colored'],
  ['fibre', 'fiber'],
  ['fibres', 'fibers'],
  ['labelled', 'labeled'],
  ['cancelled', 'canceled'],
  ['travelled', 'traveled'],
  ['levelled', 'leveled'],
  ['neighbour', 'neighbor'],
  ['neighbours', 'neighbors'],
  ['neighbouring', 'neighboring'],
  ['favourable', 'favorable'],
  ['aluminium', 'aluminum'],
  ['licence', 'license'],
  ['catalogue', 'catalog'],
  ['catalogues', 'catalogs'],
  ['tonne', 'metric ton'],
  ['tonnes', 'metric tons'],
  ['galvanised', 'galvanized'],
  ['organised', 'organized'],
  ['recognised', 'recognized'],
];

/** Other words for the same thing: of the strings of the pages alone. */
const NAMED: Record<Region, [string, string][]> = {
  AU: [],
  UK: [
    ['ute', 'pickup'],
    ['utes', 'pickups'],
    ['paddock', 'field'],
    ['dirt road', 'track'],
    ['parking brake', 'handbrake'],
  ],
  US: [
    ['ute', 'pickup'],
    ['utes', 'pickups'],
    ['paddock', 'field'],
    ['grey', 'gray'],
    ['bonnet', 'hood'],
    ['torch', 'flashlight'],
    ['spanner', 'wrench'],
    ['petrol', 'gasoline'],
  ],
};

const spelled: Record<Region, Variant[]> = { AU: [], UK: [], US: SPELLED.map(([ours, theirs]) => word(ours, theirs)) };

/** For the strings of the pages. */
export function ofPages(region: Region): Variant[] {
  return [...NAMED[region].map(([ours, theirs]) => word(ours, theirs)), ...spelled[region]];
}

/** For the sentences of the machine. */
export function ofMachine(region: Region): Variant[] {
  return spelled[region];
}

// in quotes, in backticks, or a path of one-line notation
const KEPT = /((?<=^|[\s(])'[^'\n]+'(?=$|[\s.,;:)])|"[^"\n]*"|“[^”\n]*”|`[^`\n]*`|!?[\w.@~]+(?: > [\w.@~]+)+)/;

/** Spell a text; what stands in quotes or notation stays. */
export function spell(text: string, variants: readonly Variant[]): string {
  if (!variants.length) return text;
  return text
    .split(KEPT)
    .map((piece, n) => (n % 2 ? piece : variants.reduce((so_far, [found, theirs]) => so_far.replace(found, theirs), piece)))
    .join('');
}

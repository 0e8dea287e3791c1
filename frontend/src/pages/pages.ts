/** The pages. Each is fetched when it is first opened; its folder holds everything of it. */
import type { Component } from 'svelte';

interface Page {
  name: string;
  /** Its word in the head, a key of `t().app`; null: not in the head. */
  head: 'rigs' | 'trials' | 'pulls' | 'kit' | 'cards' | null;
  load: () => Promise<{ default: Component }>;
}

export const PAGES: readonly Page[] = [
  { name: '', head: null, load: () => import('./first/First.svelte') },
  { name: 'rigs', head: 'rigs', load: () => import('./rig/Rigs.svelte') },
  { name: 'trials', head: 'trials', load: () => import('./trials/Trials.svelte') },
  { name: 'pulls', head: 'pulls', load: () => import('./pull/Pulls.svelte') },
  { name: 'kit', head: 'kit', load: () => import('./kit/Kit.svelte') },
  { name: 'cards', head: 'cards', load: () => import('./cards/Cards.svelte') },
];

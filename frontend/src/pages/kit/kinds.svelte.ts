/** Every kind of piece with what helps to enter one: asked for once. */
import { Answer } from '../../api/answer.svelte';
import { ask } from '../../api/ask';
import type { Kinds } from './records';

export const kinds = new Answer<Kinds>();
kinds.ask((signal) => ask<Kinds>('/api/kit/kinds', { signal }));

/** The named rigs of the program, asked for once. */
import { ask, type AnyRecord } from '../../../api/ask';

export interface NamedRig {
  name: string;
  path: string;
  ideal_advantage: number;
  contacts: number;
}
let asked: Promise<NamedRig[]> | null = null;

export function namedRigs(): Promise<NamedRig[]> {
  asked ??= ask<AnyRecord & { rigs: NamedRig[] }>('/api/rigs').then(
    (found) => found.rigs,
    (problem: unknown) => {
      asked = null; // asked again next time
      throw problem;
    },
  );
  return asked;
}

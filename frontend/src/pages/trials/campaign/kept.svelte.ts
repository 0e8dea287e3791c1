/** Whether a campaign stands in the book (and can be changed), or is a folder the program was started with. */
import { ask, Refused } from '../../../api/ask';
import { inBook, type BookDocument } from './records';

export async function kept(name: string): Promise<boolean> {
  try {
    await ask<BookDocument>(inBook('campaign', name));
    return true;
  } catch (problem) {
    if (problem instanceof Refused) return false;
    throw problem;
  }
}

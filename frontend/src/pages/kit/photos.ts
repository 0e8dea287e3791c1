/** Photographs of a marking: made fit to send, and shown small. They are only ever looked at; no number is read off them. */
import { askFile } from '../../api/ask';
import { ofPiece } from './records';

const MOST_BYTES = 8_000_000;
const WIDEST_px = 2400;
const kept = new Map<string, Promise<string>>();

/** A photograph of a piece as an address of its own bytes, no wider than `most` pixels; null where it cannot be had. */
export function photo(kit: string, item: string, n: number, path: string, most: number): Promise<string> {
  const key = `${kit}\n${item}\n${path}\n${most}`;
  const had = kept.get(key);
  if (had) return had;
  const made = askFile(ofPiece(kit, item, `photos/${n}`)).then(({ blob }) => drawn(blob, most));
  made.catch(() => kept.delete(key));
  kept.set(key, made);
  return made;
}

async function drawn(blob: Blob, most: number): Promise<string> {
  const picture = await createImageBitmap(blob);
  const canvas = scaled(picture, most);
  return canvas.toDataURL('image/jpeg', 0.85);
}

function scaled(picture: ImageBitmap, most: number): HTMLCanvasElement {
  const share = Math.min(1, most / Math.max(picture.width, picture.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(picture.width * share));
  canvas.height = Math.max(1, Math.round(picture.height * share));
  canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  return canvas;
}

/** A photograph as the book takes it: as it is, or made smaller where it is larger than that. */
export async function smaller(file: File): Promise<Blob> {
  if (file.size <= MOST_BYTES) return file;
  try {
    const canvas = scaled(await createImageBitmap(file), WIDEST_px);
    return await new Promise((done) => canvas.toBlob((blob) => done(blob ?? file), 'image/jpeg', 0.9));
  } catch {
    return file; // no picture: the machine says so
  }
}

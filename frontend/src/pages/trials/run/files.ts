/** The head of a log as the reader sees it: plain text, nothing in it is run or followed. */
const SEEN = 2000; // bytes of the head that are shown
const LINES = 6;

/** The first lines of a log as plain text; empty where it is no text. */
export async function headOf(file: File): Promise<string[]> {
  const bytes = new Uint8Array(await file.slice(0, SEEN).arrayBuffer());
  if (bytes[0] === 0x50 && bytes[1] === 0x4b) return [];
  const wide = bytes[0] === 0xff && bytes[1] === 0xfe;
  const text = new TextDecoder(wide ? 'utf-16le' : 'utf-8').decode(bytes);
  const strange = [...text].filter((sign) => sign < ' ' && !'\t\r\n'.includes(sign)).length;
  if (strange > 3) return [];
  return text.split(/\r\n|\n|\r/).slice(0, LINES).map((line) => line.slice(0, 160));
}

/** A chosen part lights up in the plan and in the line, unrolled. */
export function litPart(within: HTMLElement | undefined, of: string | null, _drawn: unknown): void {
  for (const one of within?.querySelectorAll('.lit') ?? []) one.classList.remove('lit');
  if (!of?.startsWith('part:')) return;
  for (const one of within?.querySelectorAll('path[data-of]') ?? []) {
    if (one.getAttribute('data-of') === of) one.classList.add('lit');
  }
}

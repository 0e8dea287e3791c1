/** Whether there is room for the laptop's drawings. */
class Wide {
  is = $state(true);
  constructor() {
    const media = matchMedia('(min-width: 60rem)');
    this.is = media.matches;
    media.addEventListener('change', () => (this.is = media.matches));
  }
}
export const wide = new Wide();

/** Who works with this device: asked for once where a decision or a change is kept, and remembered here. */
const KEY = 'haulwright.who';

class Who {
  name = $state('');

  constructor() {
    try {
      this.name = localStorage.getItem(KEY) ?? '';
    } catch {
      // nothing is remembered: it is asked for again
    }
  }

  set(name: string): void {
    this.name = name.slice(0, 80);
    try {
      localStorage.setItem(KEY, this.name);
    } catch {
      // as above
    }
  }
}

export const who = new Who();

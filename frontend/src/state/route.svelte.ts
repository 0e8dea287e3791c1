/** Where the reader is: `#/rigs/three-part?x=1` is page `rigs`, rest `['three-part']`, query `x`. */
class Route {
  page = $state('');
  rest = $state<string[]>([]);
  query = $state(new URLSearchParams());

  constructor() {
    addEventListener('hashchange', () => this.read());
    this.read();
  }

  private read(): void {
    const [path = '', query = ''] = location.hash.replace(/^#\/?/, '').split('?');
    const [page = '', ...rest] = path.split('/').map((word) => decode(word));
    this.page = page;
    this.rest = rest.filter(Boolean);
    this.query = new URLSearchParams(query);
  }
}

function decode(word: string): string {
  try {
    return decodeURIComponent(word);
  } catch {
    return word;
  }
}

export const route = new Route();

/** The address of a page: `href('rigs', 'two-part')`. */
export function href(page: string, ...rest: string[]): string {
  return `#/${[page, ...rest].map(encodeURIComponent).join('/')}`;
}

export function go(page: string, ...rest: string[]): void {
  location.hash = href(page, ...rest);
}

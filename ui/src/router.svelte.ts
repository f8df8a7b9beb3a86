// Where the page is: `#/take/abc?with=def`. The address is the only state; links are plain links.
export const pages = ['horn', 'routine', 'play', 'take', 'player', 'settings', 'book', 'lesson'] as const;
export type PageName = (typeof pages)[number];
export interface Place {
  page: PageName;
  id: string;
  query: URLSearchParams;
}

function read(): Place {
  const [path = '', query = ''] = location.hash.replace(/^#\/?/, '').split('?');
  const [page = '', id = ''] = path.split('/');
  const known = (pages as readonly string[]).includes(page);
  return { page: known ? (page as PageName) : 'play', id: known ? decodeURIComponent(id) : '', query: new URLSearchParams(query) };
}

let here = $state.raw<Place>(read());
addEventListener('hashchange', () => (here = read()));

export function place(): Place {
  return here;
}

/** The id of a page's own place. While the next page is on its way this one stays as it was: it must not take the next one's id for its own. */
export function idOn(page: PageName): () => string {
  let kept = '';
  return () => {
    if (here.page === page) kept = here.id;
    return kept;
  };
}

export function linkTo(page: PageName, id = '', query: Record<string, string> = {}): string {
  const text = new URLSearchParams(query).toString();
  return `#/${page}${id ? `/${encodeURIComponent(id)}` : ''}${text ? `?${text}` : ''}`;
}

export function go(page: PageName, id = '', query: Record<string, string> = {}): void {
  location.hash = linkTo(page, id, query);
}

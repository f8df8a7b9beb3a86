// Takes an engraved page into the document: nothing in it may run, and its styles are set one by one, as the content policy wants.

const drawing = new Set(['svg', 'g', 'path', 'use', 'defs', 'symbol', 'text', 'tspan', 'rect', 'line', 'polyline', 'polygon', 'ellipse', 'circle', 'title', 'desc']);

/** Parses an SVG page; null when it is none. Unknown elements, handlers and outside addresses are dropped. */
export function engravedPage(source: string): SVGSVGElement | null {
  // Style sheets are dropped and style attributes set aside before parsing: the content policy would refuse both.
  const plain = source.replace(/<style\b[\s\S]*?<\/style>/g, '').replace(/(\s)style=(?=["'])/g, '$1data-style=');
  const parsed = new DOMParser().parseFromString(plain, 'image/svg+xml');
  const root = parsed.documentElement;
  if (root.localName !== 'svg' || parsed.querySelector('parsererror')) return null;
  for (const element of [...root.querySelectorAll('*')]) {
    if (!drawing.has(element.localName)) element.remove();
  }
  const page = document.importNode(root, true) as unknown as SVGSVGElement;
  const width = parseFloat(page.getAttribute('width') ?? '');
  const height = parseFloat(page.getAttribute('height') ?? '');
  if (!page.hasAttribute('viewBox') && width > 0 && height > 0) page.setAttribute('viewBox', `0 0 ${width} ${height}`);
  page.removeAttribute('width');
  page.removeAttribute('height');
  for (const element of [page, ...page.querySelectorAll<SVGElement>('*')]) tidy(element);
  return page;
}

function tidy(element: SVGElement): void {
  for (const { name, value } of [...element.attributes]) {
    if (name.startsWith('on')) element.removeAttribute(name);
    else if ((name === 'href' || name === 'xlink:href') && !value.startsWith('#')) element.removeAttribute(name);
    else if (name === 'data-style') {
      element.removeAttribute('data-style');
      element.style.cssText = value;
    }
  }
}

/** The engraved note element with an id of the part. */
export function engravedNote(page: ParentNode, id: string): SVGGElement | null {
  return page.querySelector<SVGGElement>(`[id="${CSS.escape(id)}"]`);
}

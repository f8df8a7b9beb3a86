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
    else if (name === 'fill' || name === 'stroke' || name === 'color') {
      // Ink is whatever the page writes with, by day and by night.
      if (/^(#000(000)?|black)$/i.test(value)) element.setAttribute(name, 'currentColor');
    } else if (name === 'data-style') {
      element.removeAttribute('data-style');
      element.style.cssText = value;
    }
  }
}

/** The engraved note element with an id of the part. */
export function engravedNote(page: ParentNode, id: string): SVGGElement | null {
  return page.querySelector<SVGGElement>(`[id="${CSS.escape(id)}"]`);
}

/** The block of a page that holds an element: one row of music with its label, signs and fingerings. */
export function rowOf(page: Element, element: Element): SVGGraphicsElement | null {
  const sheet = page.querySelector('g.page');
  let block: Element | null = element;
  while (block && block.parentElement && block.parentElement !== sheet && block.parentElement !== page) block = block.parentElement;
  return block instanceof SVGGraphicsElement ? block : null;
}

/** The box around some elements, in the coordinates of the drawing that holds them; null while nothing is laid out. */
export function around(drawing: SVGSVGElement, elements: SVGGraphicsElement[]): DOMRect | null {
  const into = drawing.getScreenCTM()?.inverse();
  if (!into || elements.length === 0) return null;
  let [left, top, right, bottom] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const element of elements) {
    const seen = element.getBoundingClientRect();
    const corner = new DOMPoint(seen.left, seen.top).matrixTransform(into);
    const other = new DOMPoint(seen.right, seen.bottom).matrixTransform(into);
    [left, top, right, bottom] = [Math.min(left, corner.x), Math.min(top, corner.y), Math.max(right, other.x), Math.max(bottom, other.y)];
  }
  return right > left ? new DOMRect(left, top, right - left, bottom - top) : null;
}

/** Cuts a page down to its rows of music: no head, no foot, no empty paper. A page without any is taken out. */
export function musicAlone(page: SVGSVGElement): void {
  const rows = new Set([...page.querySelectorAll('g.system')].map((one) => rowOf(page, one)).filter((one) => one !== null));
  if (rows.size === 0) page.remove();
  const box = around(page, [...rows]);
  if (!box) return;
  for (const block of rows.values().next().value?.parentElement?.children ?? []) if (!rows.has(block as SVGGraphicsElement)) block.setAttribute('visibility', 'hidden');
  const margin = box.width * 0.02;
  page.setAttribute('viewBox', `${box.x - margin} ${box.y - margin} ${box.width + 2 * margin} ${box.height + 2 * margin}`);
}

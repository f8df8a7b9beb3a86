import { describe, expect, it } from 'vitest';
import { engravedPage } from './engraved';

const svg = (inside: string) => `<svg xmlns="http://www.w3.org/2000/svg" width="210px" height="297px">${inside}</svg>`;

describe('engraved page', () => {
  it('fits any width', () => {
    const page = engravedPage(svg('<g id="l1n1" class="note"><path d="M0 0"/></g>'));
    expect(page?.getAttribute('viewBox')).toBe('0 0 210 297');
    expect(page?.hasAttribute('width')).toBe(false);
  });
  it('lets nothing run and nothing call outside', () => {
    const page = engravedPage(svg('<script>1</script><style>*{}</style><g onclick="x()"><use href="https://example.org/a#b"/><use href="#e0a4"/></g><foreignObject/>'));
    expect(page?.querySelector('script, style, foreignObject')).toBeNull();
    expect(page?.querySelector('g')?.hasAttribute('onclick')).toBe(false);
    expect([...(page?.querySelectorAll('use') ?? [])].map((one) => one.getAttribute('href'))).toEqual([null, '#e0a4']);
  });
  it('refuses what is no drawing', () => {
    expect(engravedPage('no')).toBeNull();
    expect(engravedPage('<html/>')).toBeNull();
  });
});

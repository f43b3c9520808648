/**
 * Functions that run inside the page, given as text: the compiler knows no DOM, since the product uses none.
 */

/** How many pixels the page is wider than the window. */
export const OVERFLOW = 'document.documentElement.scrollWidth - document.documentElement.clientWidth';

/** Exact values in the tables of results, in the order of the page. */
export const TABLE_VALUES = `[...document.querySelectorAll('section table data')].map((cell) => Number(cell.value))`;

/** Every drawing that is shown: its edges, and those of its text, in pixels. */
export const SHOWN_CHARTS = `[...document.querySelectorAll('figure svg[role=img]')]
  .filter((svg) => svg.getClientRects().length > 0)
  .map((svg) => {
    const { left, right, height } = svg.getBoundingClientRect();
    const texts = [...svg.querySelectorAll('text')].map((text) => text.getBoundingClientRect());
    const figure = svg.closest('figure').getBoundingClientRect();
    return {
      left, right, height,
      textLeft: Math.min(...texts.map((box) => box.left)),
      textRight: Math.max(...texts.map((box) => box.right)),
      textSize: Math.min(...texts.map((box) => box.height)),
      figureHeight: figure.height,
    };
  })`;

/** Text of the page with less contrast than 4.5 to 1 (WCAG 2.1, criterion 1.4.3 and its formula; from memory). */
export const FAINT_TEXT = `(() => {
  const numbers = (colour) => colour.match(/[\\d.]+/g).slice(0, 3).map(Number);
  const linear = (part) => (part / 255 <= 0.03928 ? part / 255 / 12.92 : ((part / 255 + 0.055) / 1.055) ** 2.4);
  const luminance = (colour) => {
    const [r, g, b] = numbers(colour).map(linear);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
  };
  const paper = luminance(getComputedStyle(document.body).backgroundColor);
  const faint = [];
  for (const element of document.body.querySelectorAll('*')) {
    const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim() !== '');
    if (!own || element.tagName === 'title' || element.getClientRects().length === 0) continue;
    const style = getComputedStyle(element);
    const ink = luminance(element.tagName === 'text' ? style.fill : style.color);
    const contrast = (Math.max(ink, paper) + 0.05) / (Math.min(ink, paper) + 0.05);
    if (contrast < 4.5) faint.push(element.textContent.slice(0, 40) + ' ' + contrast.toFixed(2));
  }
  return faint;
})()`;

/** How many drawings of this page's text the browser's own reader refuses as XML. */
export const illFormedCharts = (
  page: string,
): string => `(${JSON.stringify(page.match(/<svg xmlns[\s\S]*?<\/svg>/g) ?? [])})
  .filter((svg) => new DOMParser().parseFromString(svg, 'image/svg+xml').querySelector('parsererror'))
  .length`;

/** Width in pixels of what a pointer has to hit to see the values of each marker shown. */
export const REACH_OF_MARKERS = `[...document.querySelectorAll('figure svg circle[pointer-events=all]')]
  .filter((circle) => circle.getClientRects().length > 0)
  .map((circle) => circle.getBoundingClientRect().width)`;

/** Tables that reach beyond the page. */
export const TABLE_OVERFLOWS = `[...document.querySelectorAll('table, pre')]
  .filter((one) => one.getClientRects().length > 0)
  .filter((one) => one.getBoundingClientRect().right > document.documentElement.clientWidth + 0.5)
  .map((one) => one.textContent.slice(0, 60))`;

/** Figures that the end of a page may cut. */
export const BREAKABLE_FIGURES = `[...document.querySelectorAll('figure')]
  .filter((one) => getComputedStyle(one).breakInside !== 'avoid').length`;

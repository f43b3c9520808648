import { describe, expect, test } from 'vitest';
import { curveStyle } from '../../../src/document/chart/curve-style.js';
import { type ColourName, DARK, inkOf, LIGHT } from '../../../src/document/chart/palette.js';

/** Relative luminance and contrast ratio as WCAG 2.1 defines them (formulas from memory). */
function luminance(hex: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const part = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return part <= 0.03928 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4;
  }) as [number, number, number];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(one: string, other: string): number {
  const [high, low] = [luminance(one), luminance(other)].sort((a, b) => b - a) as [number, number];
  return (high + 0.05) / (low + 0.05);
}

test('the contrast formula gives 21 for black on white', () => {
  expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 10);
});

describe.each([
  ['light', LIGHT],
  ['dark', DARK],
] as const)('on %s paper', (_, colours) => {
  // WCAG 2.1: 4.5 for text (criterion 1.4.3), 3 for the parts of a graphic (1.4.11); from memory.
  test.each(['ink', 'soft'] as const)('%s has the contrast that text needs', (name) => {
    expect(contrast(colours[name], colours.paper)).toBeGreaterThanOrEqual(4.5);
  });

  const lines = Object.keys(LIGHT).filter((name) => name.startsWith('line')) as ColourName[];
  test.each(lines)('%s has the contrast that a graphic needs', (name) => {
    expect(contrast(colours[name], colours.paper)).toBeGreaterThanOrEqual(3);
  });
});

test('a drawing names the colours of the page by their variables', () => {
  expect(inkOf('line6')).toBe('var(--line6)');
});

test('no two of the first 84 curves look alike, and neighbours differ in dash and in marker', () => {
  const looks = Array.from({ length: 84 }, (_, i) => curveStyle({}, i));
  expect(new Set(looks.map((look) => JSON.stringify(look))).size).toBe(84);
  for (const [i, look] of looks.slice(1).entries()) {
    expect(look.dash).not.toEqual(looks[i]!.dash);
    expect(look.marker).not.toBe(looks[i]!.marker);
  }
});

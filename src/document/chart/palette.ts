/**
 * Colours of the page. The lines take the colour-blind-safe set of M. Okabe and K. Ito, "Color Universal
 * Design" (2008): blue, vermilion, bluish green, reddish purple, orange, sky blue; on dark paper the set's
 * lighter members lead. Values from memory; test/report/chart/palette.test.ts checks their contrast.
 */
export const LIGHT = {
  paper: '#fbfaf7',
  ink: '#1b1d21',
  soft: '#575b63',
  grid: '#dedcd5',
  line1: '#0072b2',
  line2: '#c04e00',
  line3: '#00815d',
  line4: '#a8507f',
  line5: '#9a6a00',
  line6: '#2b7fae',
} as const;

export const DARK: Readonly<Record<ColourName, string>> = {
  paper: '#16181c',
  ink: '#eceae4',
  soft: '#a9adb5',
  grid: '#34373d',
  line1: '#56b4e9',
  line2: '#e69f00',
  line3: '#2fc29a',
  line4: '#d98fb8',
  line5: '#f0e442',
  line6: '#ef7f45',
};

export type ColourName = keyof typeof LIGHT;

const NAMES = Object.keys(LIGHT) as ColourName[];

/** A colour of the page as a drawing names it: one drawing serves light and dark paper. */
export const inkOf = (name: ColourName): string => `var(--${name})`;

/** CSS declarations of the page's variables. */
export const declarations = (colours: Readonly<Record<ColourName, string>>): string =>
  NAMES.map((name) => `--${name}:${colours[name]}`).join(';');

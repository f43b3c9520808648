/** Claims of no maker in all the ways that they are written: as files, and below as lines of text. */
export const CLAIM_FILES: readonly string[] = [
  'power: 100 W\nload: 8 ohm\nthd: 0.1 %\nfrequency: 20 Hz to 20 kHz\nchannels: 2\ndriven: all\nmains: 230 V 50 Hz\n',
  'unit: Sample 2x100\nsource: leaflet\npower: 150 W\nfrom: 250 mW\nper: channel\nkind: continuous\nload: 4 ohm\nthdn: 1 %\nfrequency: 1 kHz\nduration: 5 min\nstandard: house rule\n',
  'claims:\n  - 120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel\n  - power: 60 W\n    load: 8 ohm\n    supply: 13.8 V\n    bridged: true\n  - power: 500 W\n    kind: burst\n    burst: 20 ms\n    load: 2 ohm\n',
];

export const CLAIM_LINES: readonly string[] = [
  '120 W, 6 ohm, 0.9 %, 1 kHz, 1 channel',
  '100 W per channel into 8 ohm, 20 Hz to 20 kHz, 0.1 % THD, both channels driven',
  '2 x 50 W into 4 ohm, 1 % THD+N, 1 kHz, 230 V 50 Hz',
  '1000 W maximum, bridged, 4 ohm',
  '250 mW to 100 W, 8 ohm, 0.08 %',
  '1,000 W/8 ohm, 1.800,5 W/4 ohm, 0,5 % THD, 20-20k',
  '120 W + 120 W (8 Ω; 0,100 %), 300 Wpk bridged mono 8R',
];

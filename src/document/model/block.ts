import type { Setting } from '../../record/finding.js';
import type { Unit } from '../../units/quantity.js';

/** A document is a list of sections of blocks, made once. HTML and terminal are two renderers of them. */
export interface Section {
  /** Unique within the document; the anchor in HTML. */
  readonly id: string;
  readonly title: string;
  readonly blocks: readonly Block[];
}

export type Block =
  | { readonly kind: 'text'; readonly text: string; readonly look?: TextLook }
  | { readonly kind: 'list'; readonly items: readonly string[] }
  | ({ readonly kind: 'table' } & Table)
  /** The few figures that a reader looks for first, set large. */
  | { readonly kind: 'figures'; readonly figures: readonly KeyFigure[] }
  /** `page_only`: characters would say less than the table beside it. */
  | ({ readonly kind: 'chart'; readonly page_only?: true } & Chart)
  /** Text as it was given, line by line: a file. */
  | { readonly kind: 'verbatim'; readonly text: string }
  /** Folded away on a screen, open on paper unless `screen` says that it stays on the screen. */
  | {
      readonly kind: 'details';
      readonly title: string;
      readonly blocks: readonly Block[];
      readonly screen?: true;
    };

/** `lead`: the answer; `strong`: a verdict; `warning`: what endangers or invalidates; `small`: what a reader may skip. */
export type TextLook = 'plain' | 'lead' | 'strong' | 'warning' | 'small';

export interface Table {
  readonly title: string;
  readonly columns: readonly Column[];
  readonly rows: readonly (readonly TableCell[])[];
  /** `pairs`: a name and what belongs to it, in two columns that need no heads. */
  readonly look?: 'pairs';
}

export interface Column {
  readonly name: string;
  /** Figures stand at the right, words at the left. */
  readonly figures?: boolean;
}

/**
 * Words, or words with what belongs to them. A judgement may be coloured, never by colour alone: the words say it as
 * well. `exact` is the value behind a printed figure, for programs. `given` words are somebody else's: they are shown as
 * they are, while signs in our own are set as print sets them. A line end within words stays one.
 */
export type TableCell = string | CellParts;

export interface CellParts {
  readonly text: string;
  readonly state?: 'good' | 'bad' | 'open';
  readonly exact?: number;
  readonly given?: true;
}

export interface KeyFigure {
  readonly name: string;
  readonly value: string;
  readonly below: string;
}

/** A picture by declared axes. `document/chart/render-svg.ts` draws it, `document/text/render-chart.ts` sets it in characters. */
export interface Chart {
  /** Unique in the document; letters, digits and hyphens. */
  readonly id: string;
  readonly title: string;
  /** Section whose heading says the rest of the title, for those who meet the chart alone. */
  readonly below?: string;
  readonly x: Axis;
  readonly y: Axis;
  readonly curves: readonly Curve[];
  /** Lines that are no readings: limits, claims, a floor, a trend. */
  readonly guides: readonly Guide[];
  readonly marks: readonly Mark[];
  /** What the picture shows, in words: caption, and what a screen reader says. */
  readonly words: string;
  /** What the numbers in the picture mean; the first belongs to number 1. */
  readonly notes?: readonly string[];
  /** Right across the page; left out: half of it. */
  readonly wide?: boolean;
  /** What it is a picture of; left out where no other run has the same. */
  readonly subject?: ChartSubject;
}

export interface Axis {
  /** Name with unit. */
  readonly name: string;
  readonly unit: Unit;
  readonly scale: 'linear' | 'log';
  /** Values that lie within the axis in any case. */
  readonly from?: number;
  readonly to?: number;
  /** `close`: the axis ends a little beyond the outermost values; left out: at round numbers. */
  readonly ends?: 'close';
  /** A linear axis spans at least this share of its largest value; left out: 2 %. */
  readonly least_span?: number;
  /**
   * Of powers, linear: the axis begins at zero, unless they lie so close together that they would be a level line. Then it
   * holds them closely, with decibels below the highest at the other side.
   */
  readonly zooms?: true;
}

export interface Curve {
  readonly name: string;
  readonly points: readonly ChartPoint[];
  /** `bare`: without markers; `dots`: without a line; `unlike`: of another setting. Left out: a line with markers. */
  readonly look?: 'bare' | 'dots' | 'unlike';
  /** Number of its colour and dash, and of its marker, from 0; left out: its place in the list. */
  readonly ink?: number;
  readonly marker?: number;
  /** What it is drawn with in characters; empty: not at all. Left out: its place in the list, from 1. */
  readonly sign?: string;
  /** `band`: the uncertainty shades a band along the curve; left out: it draws a bar at each point. */
  readonly uncertainty?: 'band';
}

export interface ChartPoint {
  readonly x: number;
  readonly y: number;
  /** What a pointer resting on its marker shows. */
  readonly hint?: string;
  /** It may not lie where it is drawn: its marker is hollow. */
  readonly doubtful?: boolean;
  /** Expanded uncertainty, in units of y. */
  readonly within?: number | null;
}

export type Position = readonly [x: number, y: number];

export interface Guide {
  /** Empty: it has no words. */
  readonly name: string;
  readonly look: 'limit' | 'claim' | 'floor' | 'trend';
  /** A value of x from bottom to top, a value of y right across, or places that it goes through. */
  readonly at: { readonly x: number } | { readonly y: number } | { readonly through: readonly Position[] };
}

/** A single mark with words beside it. */
export interface Mark {
  readonly x: number;
  readonly y: number;
  /** `ring`: where a limit is reached; `diamond`: a knee; `latest`: the newest reading; `number`: see the notes; `words`: nothing else. */
  readonly shape: 'ring' | 'diamond' | 'latest' | 'number' | 'words';
  /** Lines of words, the first of them set off; empty: none. Of a number: the number. */
  readonly label: readonly string[];
  readonly hint: string;
  /** Number of the colour of the curve that it belongs to. */
  readonly ink: number;
  /** Expanded uncertainty, in units of x. */
  readonly within?: number | null;
}

/** Where readings or findings belong together. */
export type PlayedSetting = Pick<Setting, 'step' | 'load_ohm' | 'driven' | 'mains_V'>;

/** What a chart is a picture of: charts of several runs that draw the same may be laid over each other. */
export interface ChartSubject extends PlayedSetting {
  /** What is drawn against what, such as `THD+N against power`. */
  readonly what: string;
  /** Whether the level stands in the sequence only, so that the step belongs to what it says. */
  readonly held: boolean;
  /** Lowest and highest nominal frequency. */
  readonly band_Hz: readonly [number, number];
  readonly threshold_percent: number | null;
  /** The curve that stands for all where there is room for one only, and how it was chosen. */
  readonly worst: Curve;
  readonly chosen: string;
}

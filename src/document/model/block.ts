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
  | ({ readonly kind: 'chart' } & Chart)
  /** Text as it was given, line by line: a file. */
  | { readonly kind: 'verbatim'; readonly text: string }
  /** Folded away on a screen, open on paper unless `screen` says that it stays on the screen. */
  | {
      readonly kind: 'details';
      readonly title: string;
      readonly blocks: readonly Block[];
      readonly screen?: true;
    };

/** `lead`: the answer; `warning`: what endangers or invalidates; `small`: what a reader may skip. */
export type TextLook = 'plain' | 'lead' | 'warning' | 'small';

export interface Table {
  readonly title: string;
  readonly columns: readonly Column[];
  readonly rows: readonly (readonly Cell[])[];
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
export type Cell = string | CellParts;

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

export interface Chart {
  readonly id: string;
  readonly x: Axis;
  readonly y: Axis;
  readonly curves: readonly Curve[];
  readonly marks: readonly Mark[];
  /** What the picture shows, in words: caption, and what a screen reader says. */
  readonly words: string;
}

export interface Axis {
  /** Name with unit. */
  readonly name: string;
  readonly scale: 'linear' | 'log';
  /** Limits that must lie within the axis; the values decide where they reach further. Left out: the values alone. */
  readonly from?: number;
  readonly to?: number;
}

export interface Curve {
  readonly name: string;
  /** `measured` has markers; `guide` is a line that belongs to another (a trend, a floor, a claim right across). */
  readonly look: 'measured' | 'guide';
  readonly points: readonly ChartPoint[];
}

export interface ChartPoint {
  readonly x: number;
  readonly y: number;
  /** What a pointer resting on it shows; left out: no marker. */
  readonly hint?: string;
  /** It may not lie where it is drawn: its marker is hollow. */
  readonly doubtful?: boolean;
  /** Expanded uncertainty, in units of y. */
  readonly within?: number | null;
}

/** A single mark with words beside it. */
export interface Mark {
  readonly x: number;
  readonly y: number;
  readonly shape: 'diamond' | 'number';
  readonly label: string;
  readonly hint: string;
}

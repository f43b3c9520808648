/** A document is a list of sections of blocks, made once. HTML and terminal are two renderers of them. */
export interface Section {
  /** Unique within the document; the anchor in HTML. */
  readonly id: string;
  readonly title: string;
  readonly blocks: readonly Block[];
}

export type Block =
  | { readonly kind: 'text'; readonly text: string; readonly look?: TextLook }
  | {
      readonly kind: 'table';
      readonly title: string;
      readonly columns: readonly Column[];
      readonly rows: readonly (readonly Cell[])[];
    }
  | ({ readonly kind: 'chart' } & Chart)
  /** Folded away on a screen, open on paper. */
  | { readonly kind: 'details'; readonly title: string; readonly blocks: readonly Block[] };

/** `lead`: the answer; `warning`: what endangers or invalidates; `small`: what a reader may skip. */
export type TextLook = 'plain' | 'lead' | 'warning' | 'small';

export interface Column {
  readonly name: string;
  /** Figures stand at the right, words at the left. */
  readonly figures?: boolean;
}

/** Words, or words with a judgement that a renderer may colour: never by colour alone, the words say it as well. */
export type Cell = string | { readonly text: string; readonly state?: 'good' | 'bad' | 'open' };

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

import type { JudgedRun } from '../../judgement/judged-run.js';
import type { Finding } from '../../record/finding.js';
import type { Section } from './block.js';
import type { ChartGround } from './charts/chart-ground.js';

/** What the document of a run is made from. */
export interface Ground extends ChartGround {
  readonly judged: JudgedRun;
}

/** The same for the steps of one kind, with what they found. */
export interface ShowGround extends ChartGround {
  readonly findings: readonly Finding[];
}

/** What the steps of one kind show in a document; nothing where a run has none of them. */
export type ShowKind = (ground: ShowGround) => readonly Section[];

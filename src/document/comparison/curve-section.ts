import type { Block, Section } from '../model/block.js';
import type { Comparison } from './comparison.js';
import { overlays } from './overlay.js';

/** The curves of the runs over each other. */
export function curveSection({ runs }: Comparison): Section {
  const charts = overlays(runs);
  const none = 'No two runs have a curve of the same kind: there is nothing to lay over each other.';
  return {
    id: 'curves',
    title: 'Curves over each other',
    blocks:
      charts.length === 0
        ? [{ kind: 'text', text: none }]
        : charts.map((chart): Block => ({ kind: 'chart', ...chart })),
  };
}

import { walkThrough } from './walk.js';

walkThrough('the guide', [
  'docs/guide/first-bench.md',
  'docs/guide/first-run.md',
  'docs/guide/reading-a-report.md',
  'docs/guide/comparing.md',
  'docs/guide/live-and-browsing.md',
  'docs/guide/sharing.md',
  'docs/guide/leaving-it-alone.md',
]);

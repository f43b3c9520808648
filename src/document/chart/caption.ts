import type { Chart } from '../model/block.js';
import { axesOf } from './plot.js';

/** What a picture shows in words, with what its drawing needs for being read. */
export function captionOf(chart: Chart): string {
  const points = chart.curves.flatMap((curve) => curve.points);
  const { across, up } = axesOf(chart);
  const cut = [up, across].filter(({ scale, unit, low }) => scale === 'linear' && unit === 'W' && low > 0);
  const bands = chart.curves.some(
    ({ uncertainty, points: own }) => uncertainty === 'band' && own.some(isUncertain),
  );
  const bars = chart.curves.some(
    ({ uncertainty, points: own }) => uncertainty === undefined && own.some(isUncertain),
  );
  return [
    chart.words,
    ...(bands ? ['Shaded: expanded uncertainty.'] : []),
    ...(bars ? ['Bars: expanded uncertainty, where wider than the marker.'] : []),
    ...(points.some(({ doubtful }) => doubtful) ? ['Hollow markers: readings with a flag.'] : []),
    ...(chart.curves.some(({ look }) => look === 'unlike')
      ? ['Thin dotted lines with hollow markers: another setting.']
      : []),
    ...(cut.length > 0 ? ['The power axis does not begin at zero.'] : []),
    ...(up.zero_dB === null ? [] : ['At the right: decibels below the highest.']),
  ].join(' ');
}

const isUncertain = ({ within }: { readonly within?: number | null }): boolean =>
  within != null && within > 0;

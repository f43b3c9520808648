/** Share of the way from one level to another, `elapsed` frames into a ramp. */
export function raisedCosine(elapsed: number, rampFrames: number): number {
  if (elapsed <= 0) return 0;
  if (elapsed >= rampFrames) return 1;
  return 0.5 - 0.5 * Math.cos((Math.PI * elapsed) / rampFrames);
}

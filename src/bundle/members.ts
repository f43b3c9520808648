/** Names of what a bundle holds. Nothing outside of these patterns is ever looked at. */
export const MEMBER = {
  readme: 'README.txt',
  manifest: 'manifest.json',
  run: 'run.json',
  bench: 'bench.yaml',
  sequence: 'sequence.yaml',
  claim: 'claim.txt',
  permits: 'permits.json',
} as const;

/** Name of the calibration record at a place of the run's list, from 0, with as much of its id as a file name takes. */
export function calibrationMember(place: number, id: string): string {
  const plain = id.replaceAll(/[^\w-]+/g, '-').slice(0, 60);
  return `calibration/${String(place + 1).padStart(3, '0')}-${plain}.yaml`;
}

/** Name of the capture of a point. */
export const captureMember = (point: number): string =>
  `captures/point-${String(point).padStart(5, '0')}.wav`;

/** Name of the spectra of a point. */
export const spectraMember = (point: number): string =>
  `spectra/point-${String(point).padStart(5, '0')}.json`;

const SPECTRA = /^spectra\/point-\d{5,9}\.json$/;
const CALIBRATION = /^calibration\/\d{3,5}-[\w-]{0,60}\.yaml$/;
const CAPTURE = /^captures\/point-\d{5,9}\.wav$/;

/** Whether a bundle can hold a member of this name. */
export function isMemberName(name: string): boolean {
  return (
    (Object.values(MEMBER) as string[]).includes(name) ||
    CALIBRATION.test(name) ||
    SPECTRA.test(name) ||
    isCapture(name)
  );
}

/** Whether a member is a capture, by its name. */
export const isCapture = (name: string): boolean => CAPTURE.test(name);

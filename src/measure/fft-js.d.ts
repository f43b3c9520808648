declare module 'fft.js' {
  /** Complex transform of a power-of-two size. Buffers hold re, im, re, im, ... */
  export default class FFT {
    constructor(size: number);
    readonly size: number;
    transform(out: Float64Array, data: Float64Array): void;
  }
}

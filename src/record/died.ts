/** What a run is said to have ended with when its program died before closing it. */
export const DIED = 'the program ended without closing the run';

import type { LiveState } from '../live-state.js';
import { Charts } from './charts.js';
import { Connection } from './connection.js';
import { byId, setText } from './dom.js';
import { Found } from './show-found.js';
import { Lists } from './show-lists.js';
import { showReadings } from './show-readings.js';
import { showNext, showState } from './show-state.js';
import { wireStop } from './stop.js';

const { base = '', token = '' } = document.body.dataset;
const charts = new Charts();
const lists = new Lists();
const found = new Found();
let known: LiveState | null = null;

/** Says what is wrong between this page and the run; an empty text takes it back. */
function complain(text: string): void {
  const place = byId('lost');
  place.hidden = text === '';
  setText(place, text);
}

/** Says that nothing was ever heard of the run, or takes it back. */
function unreached(so: boolean): void {
  byId('unreached').hidden = !so;
  byId('state').hidden = so;
}

function show(state: LiveState): void {
  known = state;
  complain('');
  unreached(false);
  byId('live').hidden = false;
  showState(state);
  if (state.view === null) return;
  charts.show(state.view);
  showReadings(state.view);
  found.show(state.view);
  lists.show(state.view);
}

/** The stream broke off: the run was killed, or this page is cut off from it. */
function lost(): void {
  if (known === null) {
    unreached(true);
    return;
  }
  complain(
    'The run cannot be heard any more: its program was ended without a last word, or this page was cut off from it. What was measured is kept. Trying again.',
  );
  setText(byId('state'), 'Lost from sight.');
  byId('walk').hidden = true;
  byId('keys').hidden = true;
  byId('ended').hidden = known.next === null;
  showNext(known.next, false);
}

function silent(seconds: number): void {
  complain(
    seconds === 0
      ? ''
      : `Nothing was heard of the run for ${seconds} s: it may hang. Look after the bench itself.`,
  );
}

function ended(): void {
  complain('');
  const view = known?.view ?? null;
  if (view === null)
    setText(byId('state'), 'It ended before its first tone: nothing was played. The terminal says why.');
  else if (view.state === 'running') {
    setText(byId('state'), 'The run was ended by a fault of the program: the terminal says which.');
    byId('ended').hidden = false;
    showNext(known?.next ?? null, false);
  }
  byId('walk').hidden = true;
  byId('keys').hidden = true;
}

wireStop(base, token, complain);
new Connection(`${base}/changes`, { state: show, ended, lost, silent });

import { isDoubtful } from '../document/model/doubtful.js';
import { eventWords } from '../document/model/event-words.js';
import {
  findingName,
  placeWords,
  termsWords,
  valueWords,
  whoseWords,
} from '../document/model/finding-words.js';
import { notesOf } from '../document/model/reason-words.js';
import { type Finding, findingKey } from '../record/finding.js';
import type { Outcome } from '../record/outcome.js';
import type { RunEventRecord } from '../record/run-record.js';
import type { CourseEvent, Progress } from '../runner/course/run-request.js';
import type { Dot, FoundFigure, LatestReading, RunAbout, RunView, ViewCurve } from './run-view.js';

/** A picture needs no more dots of a step, and nobody reads further back than so many events. */
const MOST_DOTS = 4_000;
const MOST_EVENTS = 200;

/** Somebody who looks on while a run goes. Nothing that a watcher does or fails to do may touch the run. */
export interface Watcher {
  /** Called once, when the run has its number. */
  begin(watch: RunWatch): void;
  /** Something is worth a line of its own. */
  say(text: string): void;
  /** The run is over, its last event included. */
  end(): void;
}

/** Keeps the view of one run up to date from the events of the runner, and tells those who look on. */
export class RunWatch {
  private readonly listeners = new Set<() => void>();
  private at: string | null = null;
  private readonly begun = new Set<string>();
  private thresholds: readonly number[] = [];
  private state: RunView['state'] = 'running';
  private reason = '';
  private now: Progress | null = null;
  private curve: ViewCurve | null = null;
  private dots: Dot[] = [];
  private stride = 1;
  private skipped = 0;
  private latest: readonly LatestReading[] = [];
  private points = 0;
  private readonly found = new Map<string, FoundFigure>();
  private events: RunEventRecord[] = [];
  private question: string | null = null;

  constructor(private readonly about: RunAbout) {}

  /** The run as it stands now. A new object each time; it does not change afterwards. */
  view(): RunView {
    const { about, state, reason, now, latest, points, question } = this;
    const steps = about.steps.map(({ id, words }) => ({ id, words, stage: this.stageOf(id) }));
    const curve = this.curve && { ...this.curve, dots: [...this.dots] };
    const found = [...this.found.values()];
    const events = [...this.events];
    return { ...about, state, reason, steps, now, curve, latest, points, found, events, question };
  }

  /** Calls back after every change; returns what ends that. A listener must not throw. */
  onChange(listener: () => void): () => void {
    this.listeners.add(listener);
    return () => this.listeners.delete(listener);
  }

  /** Calls back with every glance at what is going on, without the cost of a view; returns what ends that. */
  onGlance(listener: (progress: Progress) => void): () => void {
    let seen: Progress | null = null;
    return this.onChange(() => {
      if (this.now === null || this.now === seen) return;
      seen = this.now;
      listener(seen);
    });
  }

  /** Takes in what the runner said. */
  take(event: CourseEvent): void {
    switch (event.kind) {
      case 'step-entered':
        this.beginStep(event.step);
        this.tell(eventWords(event));
        break;
      case 'progress':
        this.now = event.progress;
        break;
      case 'point':
        this.takePoint(event);
        break;
      case 'answered':
      case 'twin':
      case 'note':
        this.tell(eventWords(event));
        break;
      case 'ended':
        this.finish(event.outcome, event.reason);
        this.tell(eventWords(event));
        break;
      case 'finding':
        this.find(event.finding);
        break;
      case 'step-left':
      case 'sensor':
        return;
    }
    this.changed();
  }

  /** Says what the operator is being asked; null: nothing any more. */
  asks(question: string | null): void {
    this.question = question;
    this.changed();
  }

  private stageOf(id: string): 'done' | 'now' | 'ahead' {
    if (!this.begun.has(id)) return 'ahead';
    return id === this.at && this.state === 'running' ? 'now' : 'done';
  }

  private beginStep(id: string): void {
    this.at = id;
    this.begun.add(id);
    this.thresholds = this.about.steps.find((step) => step.id === id)?.thresholds_percent ?? [];
  }

  private takePoint({ point, readings }: Extract<CourseEvent, { kind: 'point' }>): void {
    this.points = point.number;
    this.latest = readings.map(({ channel, power_W, voltage_V, thdn_percent, flags }) => ({
      channel,
      power_W,
      voltage_V,
      thdn_percent,
      flags,
    }));
    const { step, stepKind, load_ohm, driven } = point;
    if (this.curve?.step !== step) {
      this.dots = [];
      [this.stride, this.skipped] = [1, 0];
    }
    this.curve = { step, stepKind, load_ohm, driven, thresholds_percent: this.thresholds, dots: [] };
    this.skipped = (this.skipped + 1) % this.stride;
    if (this.skipped !== 0) return;
    this.dots.push(
      ...readings.map((reading) => ({
        channel: reading.channel,
        frequency_Hz: reading.frequency_Hz,
        power_W: reading.power_W,
        thdn_percent: reading.thdn_percent,
        at_s: point.at_s,
        ...(isDoubtful(reading) && { doubtful: true as const }),
      })),
    );
    this.thin(readings.length);
  }

  /** Halves the dots of a long step, point by point, and takes half as many from then on. */
  private thin(channels: number): void {
    if (this.dots.length <= MOST_DOTS || channels === 0) return;
    this.dots = this.dots.filter((_, i) => Math.floor(i / channels) % 2 === 0);
    this.stride *= 2;
  }

  /** A figure that is found again, by a step that is repeated, stands for the one before. */
  private find(finding: Finding): void {
    this.found.set(findingKey(finding), foundFigure(finding));
  }

  private finish(outcome: Outcome, reason: string): void {
    this.state = outcome;
    this.reason = reason;
    this.question = null;
  }

  private tell(words: RunEventRecord | null): void {
    if (words) this.events.push(words);
    if (this.events.length > MOST_EVENTS) this.events.shift();
  }

  private changed(): void {
    for (const listener of this.listeners) listener();
  }
}

/** A finding in the words that it is shown in while the run goes. */
const foundFigure = (finding: Finding): FoundFigure => ({
  name: findingName(finding),
  place: [whoseWords(finding), placeWords(finding), termsWords(finding)].join(', '),
  value: valueWords(finding),
  note: notesOf(finding).join('; '),
});

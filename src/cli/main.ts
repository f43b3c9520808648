#!/usr/bin/env node
import { Command, CommanderError, Help } from 'commander';
import { ownVersion } from './terminal/own-version.js';

/** A command's work, loaded only when it is asked for, so that `--help` stays quick. */
type Work = (...args: never[]) => Promise<number>;

/** Wraps a command so that its exit status, or the failure it throws, becomes that of the process. */
function action(load: () => Promise<Work>) {
  return async (...args: unknown[]): Promise<void> => {
    const options = args.at(-2) as { json?: boolean };
    const { processTerminal } = await import('./terminal/terminal.js');
    const terminal = processTerminal();
    try {
      const work = await load();
      process.exitCode = await work(...([terminal, ...args.slice(0, -1)] as never[]));
    } catch (error) {
      const { reportFailure } = await import('./terminal/fail.js');
      process.exitCode = reportFailure(error, terminal, options.json === true);
    }
  };
}

const program = new Command('ohmest')
  .description(
    'Honest watts from an amplifier bench: climb to clipping, mark the power at 0.1 % and 1 % THD+N, carry it across the band.',
  )
  .version(ownVersion())
  .configureHelp({
    optionDescription(option) {
      const description = Help.prototype.optionDescription.call(this, option);
      return option.mandatory ? `${description} (required)` : description;
    },
  })
  .showHelpAfterError('(ohmest --help lists the commands, ohmest COMMAND --help explains one)')
  .exitOverride();

const DB = 'ohmest.db';
const json = ['--json', 'print one JSON document on stdout and nothing else'] as const;
const db = ['--db <file>', 'database of runs', DB] as const;
const bench = ['--bench <bench>', 'bench file, or the name of a bench that ships'] as const;
const claim = [
  '--claim <claim>',
  "what the maker claims, as in '100 W, 8 ohm, 1 % THD+N, 1 kHz, 2 channels', or a claim file",
] as const;
const live = [
  '--live [port]',
  'serve a page to browsers on this machine that shows the run as it goes and can stop it; any free port when left out',
] as const;
const otherClaim = [
  '--claim <claim>',
  'a claim to judge by the run as well, a text or a claim file; it is not stored',
] as const;

program
  .command('demo')
  .description('do the whole job on the simulated bench: run, database, report')
  .option('--out <folder>', 'where the database and the report go', 'ohmest-demo')
  .option(...json)
  .action(action(async () => (await import('./run/demo.js')).demo));

program
  .command('devices')
  .description('list the sound devices that can play and capture')
  .option(...json)
  .action(action(async () => (await import('./look/devices.js')).devices));

program
  .command('bench <bench>')
  .description(
    'look a bench over: its chain, what it reads and stands, what is calibrated until when; plays nothing',
  )
  .option('--for <unit>', "how it suits a unit of that power, as in '150 W 8 ohm'")
  .option(...json)
  .action(action(async () => (await import('./look/bench.js')).bench));

program
  .command('plan <sequence>')
  .description(
    'show what a sequence would do on a bench: points, time, highest volts, amps and heat, hazards; plays nothing',
  )
  .requiredOption(...bench)
  .option(...claim)
  .option(...json)
  .action(action(async () => (await import('./run/plan.js')).plan));

program
  .command('run <sequence>')
  .description('run a sequence on a bench and record it')
  .requiredOption(...bench)
  .requiredOption('--unit <label>', 'label of the unit under test')
  .option(...claim)
  .option(...db)
  .option('--permit <id>', 'permit that stands in for a person at the bench: nothing is asked')
  .option('--captures', 'keep the raw samples of every point beside the database')
  .option(...live)
  .option('--report <file>', 'write the report there when the run has ended')
  .option(...json)
  .action(action(async () => (await import('./run/run.js')).run));

program
  .command('resume <run>')
  .description('go on with a run that was broken off: what it has stays, the unit is warmed again')
  .option('--bench <bench>', 'bench file of the run, unchanged; searched for by its content when left out')
  .option(...db)
  .option('--permit <id>', 'permit that stands in for a person at the bench: nothing is asked')
  .option(...live)
  .option('--report <file>', 'write the report there when the run has ended')
  .option(...json)
  .action(action(async () => (await import('./run/resume.js')).resume));

program
  .command('permit <sequence>')
  .description('walk the checklist in person and sign a permit for one run with nobody there; plays nothing')
  .requiredOption(...bench)
  .option(...claim)
  .option(...db)
  .option(
    '--expires <time>',
    "within which the run must begin, as in '30 min' or '2 d', at most '7 d'",
    '12 h',
  )
  .option(...json)
  .action(action(async () => (await import('./run/permit.js')).permit));

program
  .command('permits')
  .description('list the permits in a database, and which run has used each')
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./run/permits.js')).permits));

program
  .command('calibrate <what>')
  .description(
    'calibrate a part of the bench (output, input, attenuator, load, floor, response), guided and resumable; writes a dated record',
  )
  .requiredOption(...bench)
  .option('--channel <number...>', 'bench channels to calibrate; all when left out')
  .option('--load <ohms>', "which load, as in '8 ohm'; every load of the channel when left out")
  .option('--accuracy <limits>', "the meter's specification in this range, as in '0.5 % + 3 counts'")
  .option('--resolution <step>', "the meter's last digit in this range, as in '1 mV'")
  .option('--metered', 'input, response: read the volts at the output with the meter too')
  .option('--loop-only', 'response: no meter, output and input share what the loop deviates (the default)')
  .option('--hot', 'load: read it warm too, for its temperature coefficient')
  .option('--inductance', 'load: read its impedance at two frequencies too, on a bridge')
  .option('--temperature <degrees>', "of room or load, as in '23 degC'")
  .option('--level <levels>', "levels to use, dB below full scale, as in '-20, -6, -1 dB'")
  .option('--frequency <frequencies>', "floor, response: frequencies to use, as in '20 Hz, 1 kHz, 20 kHz'")
  .option('--into <folder>', "folder for the record; 'calibration' beside the bench file when left out")
  .option('--name <family>', 'name of the record without its date')
  .option('--by <name>', 'who calibrates')
  .option('--instrument <text>', 'the meter, for the record')
  .option('--serial <text>', "the meter's serial number")
  .option('--due <day>', 'last day on which the record holds, as in 2027-03-01')
  .option('--months <number>', 'or how many months it holds; 12 when left out, no end for a simulated bench')
  .option(...json)
  .action(action(async () => (await import('./calibrate/calibrate.js')).calibrate));

program
  .command('claim <claims...>')
  .description("restate a maker's claim on equal terms, or set several side by side; text or a claim file")
  .option('--as <terms>', "terms to restate on, as in '8 ohm' or '8 ohm, 0.1 %'")
  .option(...json)
  .action(action(async () => (await import('./look/claim.js')).claim));

program
  .command('analyse <file>')
  .description('measure the channels of a WAV file')
  .option('--band <low:high>', 'measuring band in hertz or with units, such as 20:20000 or "20 Hz:20 kHz"')
  .option('--frequency <frequency>', 'frequency of the test tone, when it should not be searched for')
  .option('--bench <bench>', 'bench whose scale turns the samples into volts at the load')
  .option(...json)
  .action(action(async () => (await import('./look/analyse.js')).analyseFile));

program
  .command('runs')
  .description('list the runs in a database')
  .option(...db)
  .option('--unit <label>', 'only runs of this unit')
  .option(...json)
  .action(action(async () => (await import('./look/runs.js')).runs));

program
  .command('show <run>')
  .description('show what a run found')
  .option('--details', 'print conditions and every figure as well')
  .option('--budget', 'show what the uncertainty of each result is made of instead')
  .option('--remeasure', 'compute the readings again from the captures that were kept, and show what changed')
  .option(...otherClaim)
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./look/show.js')).show));

program
  .command('compare <run...>')
  .description('hold runs against the first of them: protocols, verdicts, differences with their uncertainty')
  .option(...otherClaim)
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./look/compare.js')).compare));

program
  .command('report <run...>')
  .description('write a run, or several, as one self-contained HTML page')
  .requiredOption('-o, --output <file>', 'file to write')
  .option(...otherClaim)
  .option(...db)
  .action(action(async () => (await import('./look/report.js')).report));

program
  .command('browse')
  .description(
    'serve a database as pages to browsers on this machine: runs, reports, comparisons; changes nothing',
  )
  .option(...db)
  .option('--port <port>', 'port to serve on; any free one when left out')
  .option(...json)
  .action(action(async () => (await import('./look/browse.js')).browse));

program
  .command('export <run>')
  .description('write the readings or the results of a run as CSV, or all of it as JSON')
  .requiredOption('--format <format>', 'csv, results-csv or json')
  .option('-o, --output <file>', 'file to write; stdout when left out')
  .option(...db)
  .action(action(async () => (await import('./look/export.js')).exportRun));

program
  .command('bundle <run>')
  .description('pack a run into one file, with its bench, sequence and calibration, for another database')
  .requiredOption('-o, --output <file>', 'file to write, as in run-7.ohmest')
  .option('--captures', 'pack the raw samples that were kept, too')
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./share/bundle.js')).bundle));

program
  .command('import <file>')
  .description('bring a run that was packed elsewhere into a database, under a number of its own')
  .option(...db)
  .option(...json)
  .action(action(async () => (await import('./share/import.js')).importFile));

try {
  await program.parseAsync();
} catch (error) {
  if (!(error instanceof CommanderError)) throw error;
  // Commander has already said what is wrong; asking for help or version is no error.
  process.exitCode = error.exitCode === 0 ? 0 : 2;
  if (error.exitCode !== 0 && process.argv.includes('--json'))
    process.stdout.write(
      `${JSON.stringify({ error: { code: 'USAGE', what: error.message.replace(/^error: /, '') } })}\n`,
    );
}

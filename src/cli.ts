#!/usr/bin/env node
import { Command, CommanderError } from 'commander';
import { COMPUTATIONS } from './cli/computations.js';

/** Someone typed what this program does not understand, as opposed to what it found when it did its work. */
const USAGE = 2;

/** Each command's file is loaded only when it is asked for: a computation needs no server, and starts at once. */
const program = new Command('stainwright')
  .description('Stain and reagent protocol manager: computations, checks, the record and runs from the command line.')
  .exitOverride()
  .showHelpAfterError('(stainwright --help lists the commands)');

program
  .command('compute')
  .description('answer JSON cases, one a line on standard input, with one JSON result a line')
  .argument('<name>', `what to compute: ${Object.keys(COMPUTATIONS).join(', ')}`)
  .action(async (name: string) => (await import('./cli/compute.js')).compute(name));

program
  .command('protocol')
  .description('look at protocol files')
  .command('check')
  .description('check protocol files and tell every problem with its line and column')
  .argument('<files...>', 'YAML files; catalogue.yaml and sources.yaml beside them are used, else the shipped ones')
  .action(async (files: string[]) => (await import('./cli/protocol-check.js')).protocolCheck(files));

program
  .command('verify')
  .description('check the record: the chain, every row that it names, and every released verdict')
  .option('--database <address>', 'SQLite file or postgres:// address; else what the environment says')
  .action(async (options: { database?: string }) => (await import('./cli/verify.js')).verify(options));

program
  .command('demo')
  .description(
    'play an invented laboratory: one bedside run that clears, one that is held, and the check of the record',
  )
  .option('--keep <folder>', 'empty folder in which the database is left')
  .action(async (options: { keep?: string }) => (await import('./cli/demo.js')).demo(options));

program
  .command('openapi')
  .description('print the OpenAPI document of the HTTP API')
  .action(async () => (await import('./cli/openapi.js')).openapi());

program.parseAsync().then(
  (): void => undefined,
  (error: unknown) => {
    if (error instanceof CommanderError) {
      process.exitCode = error.exitCode === 0 ? 0 : USAGE;
      return;
    }
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
    process.exitCode = 1;
  },
);

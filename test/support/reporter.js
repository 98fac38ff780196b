import { writeSync } from 'node:fs';
import { relative } from 'node:path';

/**
 * Closes the run with one plain line, `N passed, N failed`, and under CI=true turns every skipped test into a failure
 * of the run: a test that a machine could not run has shown nothing.
 */
export default class ClosingLine {
  #skipsForbidden = process.env.CI === 'true';
  #error;

  onRunComplete(_contexts, results) {
    const skips = results.testResults.flatMap((file) =>
      file.testResults
        .filter((test) => ['pending', 'skipped', 'todo', 'disabled'].includes(test.status))
        .map((test) => `${relative(process.cwd(), file.testFilePath)}: ${test.fullName}`),
    );
    // A suite that could not start holds an unknown number of tests; it counts as one that failed.
    const failed = results.numFailedTests + results.numRuntimeErrorTestSuites;
    const lines = [];
    if (skips.length > 0) {
      if (this.#skipsForbidden) this.#error = new Error(`${skips.length} tests were skipped under CI`);
      lines.push('', `Skipped${this.#skipsForbidden ? ' (a failure under CI)' : ''}:`, ...skips.map((s) => `  ${s}`));
    }
    lines.push(
      '',
      `${results.numPassedTests} passed, ${failed} failed${skips.length > 0 ? `, ${skips.length} skipped` : ''}`,
    );
    // Jest's own reporter writes late, through buffers; only at the exit is a line sure to be the last.
    process.once('exit', () => writeSync(1, `${lines.join('\n')}\n`));
  }

  getLastError() {
    return this.#error;
  }
}

/** Does one piece of work at a time: who asks during a turn gets one more turn after it, however many ask. */
export class Turns {
  private asked = false;
  private turn: Promise<void> | null = null;

  /** `work` must not throw. */
  constructor(private readonly work: () => Promise<void>) {}

  /** Settles when a turn that began after the call is over. */
  ask(): Promise<void> {
    this.asked = true;
    this.turn ??= this.take();
    return this.turn;
  }

  private async take(): Promise<void> {
    while (this.asked) {
      this.asked = false;
      await this.work();
    }
    this.turn = null;
  }
}

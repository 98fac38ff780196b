// Loaded before the program: its clock then says CLOCK_AT and goes on from there.
const Machine = globalThis.Date;
const ahead = Machine.parse(process.env.CLOCK_AT) - Machine.now();

globalThis.Date = class extends Machine {
  constructor(...given) {
    super(...(given.length === 0 ? [Machine.now() + ahead] : given));
  }

  static now() {
    return Machine.now() + ahead;
  }
};

export class GuideDto {
  /**
   * Ids of the tasks that what happened tells to be done, of what somebody with the person's roles is led through; pages
   * that were only opened are known to the device alone.
   */
  done: string[];
}

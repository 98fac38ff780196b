/** The notice that was seen. */
export class SeenDto {
  id: string;
}

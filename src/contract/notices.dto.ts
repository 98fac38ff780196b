import { ApiProperty } from '@nestjs/swagger';

/** Something a person should know; one for each matter. */
export class NoticeDto {
  id: string;
  /** What it is about, told once: 'step-over:<event>'. */
  matter: string;
  at: string;
  text: string;
  @ApiProperty({ type: String, nullable: true })
  runId: string | null;
  /** Who has seen it; null while nobody has. */
  @ApiProperty({ type: String, nullable: true })
  seenBy: string | null;
}

/** The notice that was seen. */
export class SeenDto {
  id: string;
}

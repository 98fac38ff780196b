import type { Api } from '../client.js';
import type { RevisionDto } from '../contract/protocols.dto.js';
import type { RecordedEventDto, RunViewDto } from '../contract/run-view.dto.js';
import type { NewSubjectDto, SubjectDto } from '../contract/specimens.dto.js';
import type { BenchStamp, RunEventData, RunEventKind, RunPurpose, RunSubject } from '../core/run/events.js';
import { type ApprovedProtocol, CONTROLS } from './laboratory.js';

type Subject = Omit<RunSubject, 'id'>;

/** A run that is done through the API by one person at one station. */
export class BenchRun {
  private constructor(
    private readonly api: Api,
    private readonly stamp: () => BenchStamp | Promise<BenchStamp>,
    readonly view: RunViewDto,
  ) {}

  static async start(
    api: Api,
    stamp: () => BenchStamp | Promise<BenchStamp>,
    {
      revision,
      station,
      subjects,
      purpose = 'patients',
    }: { revision: RevisionDto; station: string; subjects: Subject[]; purpose?: RunPurpose },
  ): Promise<BenchRun> {
    const run = { revisionId: revision.id, station, purpose, subjects };
    return new BenchRun(api, stamp, await api.post<RunViewDto>('/runs', run));
  }

  async record<K extends RunEventKind>(kind: K, data: RunEventData[K]): Promise<RecordedEventDto> {
    return this.api.post(`/runs/${this.view.id}/events`, { kind, data, stamp: await this.stamp() });
  }

  /** Says aloud what is signed later. */
  async answer(said: { subjectId: string; point: string; words: string; listener: string }): Promise<void> {
    await this.api.post(`/runs/${this.view.id}/answers`, { ...said, readBack: true, stamp: await this.stamp() });
  }

  /** A person vouches for each patient's specimen or slide. */
  async confirmIdentities(): Promise<void> {
    for (const { subjectId, role } of this.view.subjects) {
      if (role === 'patient') await this.record('identity-confirmed', { subject: subjectId });
    }
  }
}

/** Registers a patient's specimen, or a slide of one, and answers it as a run takes it. */
export async function patientSubject(api: Api, subject: NewSubjectDto): Promise<Subject> {
  const { id } = await api.post<SubjectDto>('/subjects', subject);
  return { subjectId: id, role: 'patient' };
}

/** Registers the control material that a protocol requires and answers it as a run takes it. */
export async function controlSubjects(api: Api, protocol: ApprovedProtocol): Promise<Subject[]> {
  const subjects: Subject[] = [];
  for (const [control, description] of Object.entries(CONTROLS[protocol])) {
    const body: NewSubjectDto = { kind: 'control', description, irreplaceable: false };
    subjects.push({ subjectId: (await api.post<SubjectDto>('/subjects', body)).id, role: 'control', control });
  }
  return subjects;
}

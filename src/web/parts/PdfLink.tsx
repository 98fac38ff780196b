import { Link } from 'react-aria-components';

/** A printed page, opened beside this one. */
export function PdfLink({ href, children, about }: { href: string; children: string; about?: string }) {
  return (
    <Link
      href={href}
      target="_blank"
      className="button button-quiet"
      {...(about !== undefined && { 'aria-label': about })}
    >
      {children}
    </Link>
  );
}

/** Where the report on a run stands. */
export function runReportAt(runId: string): string {
  return `/api/runs/${encodeURIComponent(runId)}/report.pdf`;
}

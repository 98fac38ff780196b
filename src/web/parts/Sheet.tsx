import type { ReactNode } from 'react';
import { Dialog, Heading, Modal, ModalOverlay } from 'react-aria-components';
import { WORDS } from '../words.js';
import { Button } from './Button.js';

/** A dialog: what it is about, what it asks, and the ways out, the safest of which has the focus. */
export function Sheet({
  title,
  children,
  onClose,
  urgent = false,
  closeWord = WORDS.close,
}: {
  title: string;
  children: ReactNode;
  /** Absent where there is no way around it. */
  onClose?: () => void;
  urgent?: boolean;
  closeWord?: string;
}) {
  return (
    <ModalOverlay
      isOpen
      isDismissable={false}
      isKeyboardDismissDisabled={!onClose}
      onOpenChange={(open) => {
        if (!open) onClose?.();
      }}
      className="veil"
    >
      <Modal className="sheet-place">
        <Dialog role={urgent ? 'alertdialog' : 'dialog'} className="sheet">
          <header className="sheet-head">
            <Heading slot="title">{title}</Heading>
            {onClose && (
              <Button look="quiet" onPress={onClose}>
                {closeWord}
              </Button>
            )}
          </header>
          {children}
        </Dialog>
      </Modal>
    </ModalOverlay>
  );
}

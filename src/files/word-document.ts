/** The parts of a Word document (Office Open XML) that hold its words. */
import { closeSync, openSync, readSync } from 'node:fs';
import { TextDecoder } from 'node:util';
import { Archive } from '../archive/archive.js';
import { Failure } from '../diagnostic/failure.js';
import { harmless } from '../text/harmless.js';
import { fileSource } from './file-source.js';

/** XML texts, as the document has them. */
export interface WordDocument {
  readonly body: string;
  /** How lists are numbered; undefined when the document has none. */
  readonly numbering: string | undefined;
}

const MEGABYTE = 1024 * 1024;
/** A book of keys has a few megabytes of XML; pictures are not unpacked, but counted. */
const LIMITS = { entries: 2000, size: 512 * MEGABYTE, ratio: 400 };
const MOST_XML = 32 * MEGABYTE;
const BODY = 'word/document.xml';
const NUMBERING = 'word/numbering.xml';

/** Whether a file begins as archives do, as Word documents are. False where it cannot be read. */
export function isArchive(path: string): boolean {
  try {
    const file = openSync(path, 'r');
    try {
      const head = Buffer.alloc(4);
      return readSync(file, head, 0, 4, 0) === 4 && head.equals(Buffer.from('PK\u0003\u0004'));
    } finally {
      closeSync(file);
    }
  } catch {
    return false;
  }
}

/** Reads a document. Throws a Failure when it is damaged, too large, or none. */
export function readWordDocument(path: string, shown: string): WordDocument {
  const archive = new Archive(fileSource(path, shown), shown, LIMITS);
  try {
    if (!archive.has(BODY))
      throw new Failure(`${harmless(shown)} is an archive, but no Word document: it has no ${BODY}`, {
        hint: 'texts, articles in XML, web pages, tables and .docx files can be imported',
      });
    const part = (name: string) => {
      if (archive.size(name) > MOST_XML)
        throw new Failure(`${harmless(shown)} has more than ${MOST_XML / MEGABYTE} MB of text`, {
          hint: 'cut the pages with the key out of it',
        });
      return new TextDecoder('utf-8').decode(archive.read(name));
    };
    return { body: part(BODY), numbering: archive.has(NUMBERING) ? part(NUMBERING) : undefined };
  } finally {
    archive.close();
  }
}

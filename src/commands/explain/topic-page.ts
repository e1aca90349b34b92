import { type Node, Parser } from 'commonmark';
import type { Paint } from '../../text/paint.js';
import { wrapLines } from '../../text/wrap.js';
import type { Topic } from './topics/index.js';

/** How a page is set: the cells of a line, and what may stand out. */
export interface PageSetting {
  readonly width: number;
  readonly paint: Paint;
}

/** A topic as text: paragraphs and lists wrapLines to the width, examples as they are, four cells in. */
export function topicText(topic: Topic, setting: PageSetting): string {
  return `${blocks(new Parser().parse(topic.markdown), setting).join('\n')}\n`;
}

/** The names and titles of the topics, one a line. */
export function topicListText(topics: readonly Topic[], { width, paint }: PageSetting): string {
  const left = Math.max(...topics.map((t) => t.name.length)) + 2;
  const lines = topics.flatMap((t) => wrapLines(t.title, width, `  ${t.name.padEnd(left)}`));
  return `${[paint.strong('Topics'), ...lines].join('\n')}\n`;
}

function children(node: Node): Node[] {
  const found: Node[] = [];
  for (let child = node.firstChild; child !== null; child = child.next) found.push(child);
  return found;
}

/** The lines of what stands in a node, with an empty one between blocks. */
function blocks(parent: Node, setting: PageSetting): string[] {
  return children(parent).flatMap((node, i) => [...(i === 0 ? [] : ['']), ...block(node, setting)]);
}

function block(node: Node, setting: PageSetting): string[] {
  const { width, paint } = setting;
  switch (node.type) {
    case 'heading':
      return wrapLines(inline(node, setting), width).map((line) => paint.strong(line));
    case 'paragraph':
      return wrapLines(inline(node, setting), width);
    case 'code_block':
      return (node.literal ?? '')
        .trimEnd()
        .split('\n')
        .map((line) => (line === '' ? '' : `    ${line}`));
    case 'list':
      return children(node).flatMap((item) => indented(blocks(item, { ...setting, width: width - 2 })));
    default:
      throw new Error(`a topic holds a ${node.type}, which the terminal has no form for`);
  }
}

function indented(lines: readonly string[]): string[] {
  return lines.map((line, i) => (line === '' ? '' : `${i === 0 ? '- ' : '  '}${line}`));
}

/** The words of a paragraph; of a link its words, for a terminal goes nowhere. */
function inline(parent: Node, setting: PageSetting): string {
  return children(parent)
    .map((node) => {
      switch (node.type) {
        case 'text':
          return node.literal ?? '';
        case 'softbreak':
          return ' ';
        case 'code':
          return `\`${node.literal ?? ''}\``;
        case 'strong':
          return setting.paint.strong(inline(node, setting));
        case 'emph':
        case 'link':
          return inline(node, setting);
        default:
          throw new Error(`a topic holds a ${node.type}, which the terminal has no form for`);
      }
    })
    .join('');
}

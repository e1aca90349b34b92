import { readFileSync } from 'node:fs';
import ts from '@typescript/typescript6';
import { describe, expect, it } from 'vitest';

/** What the declarations declare as a type: the lists of words behind some of them, and the mark in `Key`, are values. */
const isType = (
  s: ts.Statement,
): s is ts.InterfaceDeclaration | ts.TypeAliasDeclaration | ts.ClassDeclaration =>
  ts.isInterfaceDeclaration(s) || ts.isTypeAliasDeclaration(s) || ts.isClassDeclaration(s);

function declarationsOf(name: string): ts.SourceFile {
  const text = readFileSync(new URL(`../../dist/${name}`, import.meta.url), 'utf8');
  return ts.createSourceFile(name, text, ts.ScriptTarget.Latest, true);
}

/** The names by which a file of declarations exports what it declares, by the names it declares it with. */
function exportsOf(source: ts.SourceFile): Map<string, string> {
  return new Map(
    source.statements.flatMap((s) =>
      ts.isExportDeclaration(s) && s.exportClause !== undefined && ts.isNamedExports(s.exportClause)
        ? s.exportClause.elements.map((e) => [(e.propertyName ?? e.name).text, e.name.text] as const)
        : [],
    ),
  );
}

/** Every node below one. */
function* nodesOf(node: ts.Node): Generator<ts.Node, void> {
  const children: ts.Node[] = [];
  ts.forEachChild(node, (child) => void children.push(child));
  for (const child of children) {
    yield child;
    yield* nodesOf(child);
  }
}

describe.each(['index.d.ts', 'node.d.ts'])('the declarations in %s', (name) => {
  const source = declarationsOf(name);
  const exported = exportsOf(source);
  const types = source.statements.filter(isType);

  it('export every type that they name, under the name they use', () => {
    expect(types.length).toBeGreaterThan(3);
    expect(types.flatMap((t) => t.name?.text ?? []).filter((n) => exported.get(n) !== n)).toEqual([]);
  });

  it('say of every value what it is', () => {
    const vague = new Set([ts.SyntaxKind.ObjectKeyword, ts.SyntaxKind.AnyKeyword]);
    const found = [...nodesOf(source)].filter((n) => vague.has(n.kind)).map((n) => n.parent.getText());
    expect(found).toEqual([]);
  });

  it('have a comment at every type and every property', () => {
    const bare = types
      .flatMap((t) => [t, ...nodesOf(t)])
      .filter((n) => isType(n as ts.Statement) || ts.isPropertySignature(n))
      .filter((n) => ts.getJSDocCommentsAndTags(n).length === 0);
    expect(bare.map((n) => n.getText().slice(0, 80))).toEqual([]);
  });
});

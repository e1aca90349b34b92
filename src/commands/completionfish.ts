import { type CommandWords, type Kind, type OptionWords, SED_IDS } from './completionwords.js';

/** The completion of the program for fish. */
export function fishCompletion(commands: readonly CommandWords[], program: readonly OptionWords[]): string {
  return `# keywright for fish. Use it now:    keywright completion fish | source
# Use it always: keywright completion fish > ~/.config/fish/completions/keywright.fish

# The ids of the keys in ./keys and in the folders of --keys.
function __keywright_keys
    set -l folders keys
    set -l words (commandline -opc)
    for i in (seq (count $words))
        test "$words[$i]" = --keys; and set -l next (math $i + 1); and test $next -le (count $words); and set -a folders $words[$next]
        string match -q -- '--keys=*' $words[$i]; and set -a folders (string replace -- --keys= '' $words[$i])
    end
    for folder in $folders
        for file in $folder/*.key.yaml
            ${fishSed()} $file 2>/dev/null
        end
    end
end

# Whether the command is this one and so many operands stand before the cursor; -1 = any number.
function __keywright_at
    set -l words (commandline -opc)
    set -e words[1]
    set -l command ''
    set -l operands 0
    set -l waits 0
    for word in $words
        if test $waits = 1
            set waits 0
        else if string match -q -- '-*' $word
            contains -- "$command/$word" ${commands.flatMap(valued).join(' ')}; and set waits 1
        else if test -z "$command"
            set command $word
        else
            set operands (math $operands + 1)
        end
    end
    test "$command" = "$argv[1]"; and begin
        test $argv[2] = -1; or test $operands = $argv[2]
    end
end

complete -c keywright -f
${program.map((o) => `complete -c keywright -n '__keywright_at "" -1' ${option(o)}`).join('\n')}
${commands.map((c) => `complete -c keywright -n '__keywright_at "" 0' -a ${c.name} -d ${quoted(c.help)}`).join('\n')}
${commands.flatMap(commandLines).join('\n')}
`;
}

function commandLines({ name, options, operands, repeats }: CommandWords): string[] {
  return [
    ...options.map((o) => `complete -c keywright -n '__keywright_at ${name} -1' ${option(o)}`),
    ...operands.map((kind, i) => {
      const last = repeats && i === operands.length - 1;
      return `complete -c keywright -n '__keywright_at ${name} ${last ? -1 : i}' ${offered(kind, false)}`;
    }),
  ];
}

function valued({ name, options }: CommandWords): string[] {
  return options.filter((o) => o.value !== undefined).flatMap((o) => o.names.map((n) => `${name}/${n}`));
}

function option({ names, value, help }: OptionWords): string {
  const flags = names.map((n) => (n.startsWith('--') ? `-l ${n.slice(2)}` : `-s ${n.slice(1)}`));
  return [...flags, ...(value === undefined ? [] : [offered(value, true)]), `-d ${quoted(help)}`].join(' ');
}

/** What is offered; after an option a value is needed (\`-r\`), and only of that kind (\`-x\`). */
function offered(kind: Kind, value: boolean): string {
  switch (kind.what) {
    case 'words':
      return `${value ? '-x ' : ''}-a ${quoted(kind.words.join(' '))}`;
    case 'key':
      return `${value ? '-r ' : ''}-F -a '(__keywright_keys)'`;
    case 'file':
      return `${value ? '-r ' : ''}-F`;
    case 'folder':
      return `${value ? '-x ' : ''}-a '(__fish_complete_directories)'`;
    case 'free':
      return value ? '-x' : '';
  }
}

/** Between single quotes fish reads only \\\\ and \\' in another way than they stand. */
function quoted(text: string): string {
  return `'${text.replaceAll('\\', '\\\\').replaceAll("'", "\\'")}'`;
}

/** The same command of sed, quoted as fish reads it. */
function fishSed(): string {
  const script = SED_IDS.slice(SED_IDS.indexOf("'") + 1, -1).replaceAll("'\\''", "'");
  return `sed -n -e ${quoted(script)}`;
}

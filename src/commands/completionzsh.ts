import {
  type CommandWords,
  type Kind,
  type OptionWords,
  quotedForShell,
  SED_IDS,
} from './completionwords.js';

/** The completion of the program for zsh. */
export function zshCompletion(commands: readonly CommandWords[], program: readonly OptionWords[]): string {
  return `#compdef keywright
# keywright for zsh. Use it now:    source <(keywright completion zsh)
# Use it always: keywright completion zsh > ~/.zfunc/_keywright, with fpath+=~/.zfunc before compinit

# The ids of the keys in ./keys and in the folders of --keys, and files.
_keywright_keys() {
  local -a folders ids
  local folder file i
  folders=(keys)
  for ((i = 1; i < \${#words}; i++)); do
    [[ \${words[i]} == --keys ]] && folders+=("\${words[i+1]}")
    [[ \${words[i]} == --keys=* ]] && folders+=("\${words[i]#--keys=}")
  done
  for folder in $folders; do
    for file in $folder/*.key.yaml(N); do
      ids+=(\${(f)"$(${SED_IDS} $file 2>/dev/null)"})
    done
  done
  _alternative 'keys:key:compadd -a ids' 'files:file:_files'
}

_keywright() {
  local context state line curcontext="$curcontext"
  typeset -A opt_args
  _arguments -C \\
${program.map((o) => `    ${spec(o)} \\`).join('\n')}
    '1:command:->command' \\
    '*::operand:->operand'
  case $state in
    command)
      local -a commands
      commands=(
${commands.map((c) => `        ${quotedForShell(`${c.name}:${c.help}`)}`).join('\n')}
      )
      _describe -t commands command commands
      ;;
    operand)
      curcontext="\${curcontext%:*:*}:keywright-$line[1]:"
      case $line[1] in
${commands.map(commandCase).join('\n')}
      esac
      ;;
  esac
}

# Loaded by compinit as a function it is called at once; sourced it is registered.
if [[ $funcstack[1] == _keywright ]]; then
  _keywright "$@"
elif (( $+functions[compdef] )); then
  compdef _keywright keywright
fi
`;
}

function commandCase({ name, options, operands, repeats }: CommandWords): string {
  const specs = [
    ...options.map(spec),
    ...operands.map((kind, i) => {
      const place = repeats && i === operands.length - 1 ? '*' : String(i + 1);
      return quotedForShell(`${place}:${kind.what}:${action(kind)}`);
    }),
  ];
  return `        ${name})\n          _arguments -S ${specs.map((s) => `\\\n            ${s}`).join(' ')}\n          ;;`;
}

/** One option as \`_arguments\` wants it: what excludes it, its names, its explanation, its value. */
function spec({ names, value, help, repeats }: OptionWords): string {
  const explanation = `[${help.replace(/[\\[\]:]/g, (c) => `\\${c}`)}]`;
  const after = value === undefined ? '' : `:${value.what}:${action(value)}`;
  const takes = (name: string) =>
    value === undefined ? name : name.startsWith('--') ? `${name}=` : `${name}+`;
  const [only] = names;
  const once = repeats ? '*' : `(${names.join(' ')})`;
  if (names.length === 1) return quotedForShell(`${once}${takes(only ?? '')}${explanation}${after}`);
  return `${quotedForShell(once)}{${names.map(takes).join(',')}}${quotedForShell(`${explanation}${after}`)}`;
}

function action(kind: Kind): string {
  switch (kind.what) {
    case 'words':
      return `(${kind.words.join(' ')})`;
    case 'key':
      return '_keywright_keys';
    case 'file':
      return '_files';
    case 'folder':
      return '_files -/';
    case 'free':
      return ' ';
  }
}

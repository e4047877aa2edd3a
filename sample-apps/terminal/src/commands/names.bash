
_fallaway_with_names() {
    local before="${COMP_WORDS[COMP_CWORD-1]}" begun="${COMP_WORDS[COMP_CWORD]}" name
    case "$before" in
        -i|--instrument|copy|rename|archive|forget)
            begun="${begun#[\"\']}"
            begun="${begun//\\/}"
            COMPREPLY=()
            while IFS= read -r name; do
                if [[ "${name,,}" == "${begun,,}"* ]]; then
                    COMPREPLY+=("$(printf '%q' "$name")")
                fi
            done < <("${COMP_WORDS[0]}" list --names 2>/dev/null)
            ;;
        *)
            _fallaway "$@"
            ;;
    esac
}
complete -F _fallaway_with_names -o bashdefault -o default fallaway


_fallaway_names() {
    compadd -M 'm:{a-zA-Z}={A-Za-z}' -- ${(f)"$(fallaway list --names 2>/dev/null)"}
}
_fallaway_with_names() {
    case "${words[CURRENT-1]}" in
        -i|--instrument|copy|rename|archive|forget) _fallaway_names ;;
        *) _fallaway "$@" ;;
    esac
}
compdef _fallaway_with_names fallaway

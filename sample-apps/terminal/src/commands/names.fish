
complete -c fallaway -s i -l instrument -x -a "(fallaway list --names 2>/dev/null)"
complete -c fallaway -n "__fish_seen_subcommand_from copy rename archive forget" -f -a "(fallaway list --names 2>/dev/null)"

# Makes bash complete what is typed after netlore. It asks netlore itself what
# can stand at the cursor, and needs nothing but bash.

_netlore() {
	local line=${COMP_LINE:0:COMP_POINT}
	local words=() word='' begun='' quote='' kept='' c i
	# Bash breaks words at colons and equal signs, netlore does not, so the line
	# is cut into words here: at blanks, and not inside quotation marks.
	for ((i = 0; i < ${#line}; i++)); do
		c=${line:i:1}
		if [[ $c == "$quote" ]]; then
			quote=''
		elif [[ $quote == "'" ]]; then
			word+=$c
		elif [[ $c == \\ ]]; then
			((i++))
			word+=${line:i:1} begun=1
		elif [[ -n $quote ]]; then
			word+=$c
		elif [[ $c == [\"\'] ]]; then
			quote=$c kept=$word begun=1
		elif [[ $c == [[:space:]] ]]; then
			[[ -n $begun ]] && words+=("${word/#\~\//$HOME/}")
			word='' begun=''
		else
			word+=$c begun=1
		fi
	done
	# Readline keeps what stands before the last break of the word, or before the
	# quotation mark that is open.
	[[ -z $quote && $COMP_WORDBREAKS == *:* ]] && kept=${word%"${word##*[:=]}"}

	local offers offer options
	offers=$("${words[0]}" __completeNoDesc "${words[@]:1}" "$word" 2>/dev/null) || return
	options=${offers##*:} offers=${offers%:*}
	while IFS= read -r offer; do
		[[ -z $offer ]] && continue
		offer=${offer#"$kept"}
		[[ -z $quote ]] && printf -v offer %q "$offer"
		COMPREPLY+=("$offer")
	done <<<"$offers"
	# The numbers are those of netlore's completion library.
	((options & 2)) && compopt -o nospace 2>/dev/null
	((options & 4)) && compopt +o default 2>/dev/null
	((options & 32)) && compopt -o nosort 2>/dev/null
	return 0
}

complete -o default -F _netlore netlore

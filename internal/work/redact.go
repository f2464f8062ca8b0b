package work

import (
	"net/url"
	"strings"
)

// redacted is a broker's address without passwords and tokens in it.
func redacted(addresses string) string {
	all := strings.Split(addresses, ",")
	for i, a := range all {
		a = strings.TrimSpace(a)
		u, err := url.Parse(a)
		if err != nil || u.User == nil {
			if _, host, ok := strings.Cut(a, "@"); ok {
				a = host
			}
			all[i] = a
			continue
		}
		u.User = nil
		all[i] = u.String()
	}
	return strings.Join(all, ",")
}

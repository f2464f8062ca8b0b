package transcript

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"saywatt/schema"
)

// Reviews of invented products, as somebody might talk.
var foreignTalk = []struct{ language, text string }{
	{"German", `Hallo zusammen, heute habe ich den Nimbrook Trio auf dem Tisch. Das ist ein Ladegerät mit drei
Anschlüssen, und der Hersteller sagt, dass es 65 Watt liefert. Am ersten Anschluss sind es 20 Volt
bei 3,25 Ampere, am zweiten nur noch 12 Volt. Wenn man alle drei benutzt, dann wird es warm, aber
nicht zu heiß. Ich habe es eine Stunde lang gemessen und zeige euch jetzt die Werte.`},
	{"French", `Bonjour à tous, aujourd'hui je vous présente le Nimbrook Trio. C'est un chargeur avec trois ports et
il est donné pour 65 watts. Sur le premier port on a 20 volts et 3,25 ampères, et sur les autres
c'est un peu moins. Quand on branche tout, il chauffe, mais pas trop. Nous avons mesuré pendant une
heure et voici ce que cela donne dans la pratique.`},
	{"Spanish", `Hola a todos, hoy les traigo el Nimbrook Trio, que es un cargador con tres puertos y según el
fabricante da 65 vatios. En el primer puerto hay 20 voltios y 3,25 amperios, y en los otros dos un
poco menos. Cuando se usan todos a la vez se calienta, pero no mucho. Lo he probado durante una hora
y ahora les cuento lo que he visto.`},
	{"Italian", `Ciao a tutti, oggi abbiamo qui il Nimbrook Trio, che è un caricatore con tre porte e secondo il
produttore arriva a 65 watt. Sulla prima porta ci sono 20 volt e 3,25 ampere, sulle altre due un po'
di meno. Quando le usiamo tutte insieme si scalda, ma non è un problema. Ho fatto una prova di
un'ora e questo è quello che ho visto.`},
	{"Portuguese", `Olá a todos, hoje eu tenho aqui o Nimbrook Trio, que é um carregador com três portas e segundo o
fabricante dá 65 watts. Na primeira porta são 20 volts e 3,25 amperes, e nas outras duas um pouco
menos. Quando se usa tudo ao mesmo tempo ele aquece, mas não muito. Eu testei durante uma hora e
agora vou mostrar o que foi medido.`},
	{"Dutch", `Hallo allemaal, vandaag heb ik de Nimbrook Trio op tafel. Dit is een lader met drie poorten en
volgens de maker levert hij 65 watt. Op de eerste poort is het 20 volt bij 3,25 ampère, en op de
andere twee wat minder. Als je ze alle drie gebruikt dan wordt hij warm, maar niet te heet. Ik heb
het een uur gemeten en nu zie je hier wat dat was.`},
	{"Polish", `Cześć wszystkim, dzisiaj mam dla was Nimbrook Trio. To jest ładowarka, która ma trzy porty i według
producenta daje 65 watów. Na pierwszym porcie jest 20 woltów i 3,25 ampera, a na dwóch pozostałych
już mniej. Jeśli użyje się ich przez dłuższy czas, to robi się ciepła, ale nie jest to nic złego.
Sprawdziłem to przez godzinę i teraz się tym podzielę.`},
	{"Swedish", `Hej allihop, idag har jag Nimbrook Trio på bordet. Det är en laddare med tre uttag och enligt
tillverkaren ger den 65 watt. På det första uttaget är det 20 volt och 3,25 ampere, och på de andra
lite mindre. När man använder alla samtidigt blir den varm, men inte för het. Jag har mätt i en
timme och nu ska vi se vad det blev.`},
	{"letters", `Всем привет, сегодня у меня на столе новое зарядное устройство на три порта. Производитель обещает
65 ватт. На первом порту двадцать вольт и три ампера, на остальных немного меньше.`},
	{"unknown", `Halo semua, hari ini saya punya Nimbrook Trio di meja. Ini adalah pengisi daya dengan tiga port, dan
menurut pabriknya daya totalnya 65 watt. Port pertama memberi 20 volt 3,25 ampere, yang lain sedikit
lebih kecil. Kalau semua dipakai bersama, alat ini menjadi hangat tetapi tidak terlalu panas.`},
	{"unknown", `Xin chào các bạn, hôm nay mình có bộ sạc Nimbrook Trio với ba cổng, hãng nói tổng công suất là 65
watt. Cổng đầu tiên cho 20 volt và 3,25 ampe, hai cổng còn lại thì ít hơn một chút. Khi dùng cả ba
cùng lúc thì máy ấm lên nhưng không quá nóng, mình đã đo trong một giờ.`},
	{"unknown", `Kumusta kayong lahat, ngayon ay nasa mesa ko ang Nimbrook Trio. Ito ay isang charger na may tatlong
port at sabi ng gumawa ay 65 watts ang kabuuan. Ang unang port ay nagbibigay ng 20 volts at 3.25 amps,
at ang dalawa pa ay mas maliit nang kaunti. Kapag ginamit lahat ay umiinit ito pero hindi gaano.`},
	{"French", "Le chargeur donne 20 volts et 3 ampères, il pèse 112 grammes et mesure 52 sur 52 millimètres."},
	{"German", "Das Netzteil hat 20 Volt und 3 Ampere, es wiegt 112 Gramm und wird nicht warm."},
	{"letters", "يعطي 65 watts"},
	{"letters", `هذا الشاحن من شركة جديدة ويعطي 65 واط، والمنفذ USB-C يعطي 20 فولت و 3.25 أمبير`},
	{"letters", strings.Repeat("今天我们来看这个充电器，它有三个接口，最大功率是六十五瓦。", 8)},
}

func TestForeign(t *testing.T) {
	for _, test := range foreignTalk {
		tr := parse(t, test.text)
		want := "its words look " + test.language
		if test.language == "letters" {
			want = "most of its letters are not Latin"
		}
		if test.language == "unknown" {
			want = "most of its words are not English"
		}
		if tr.Foreign() != want {
			t.Errorf("%.40s: %q, want %q", test.text, tr.Foreign(), want)
		}
		if n := len(tr.Problems); n == 0 || !errors.Is(tr.Problems[n-1], ErrLanguage) {
			t.Errorf("%.40s: not among the problems: %v", test.text, tr.Problems)
		}
	}
}

// What is short, terse, or full of names and signs counts as English.
func TestNotForeign(t *testing.T) {
	for _, text := range []string{
		"20 Volt, 3,25 Ampere",
		"Kestrow La Palma 65, USB-C 20 V 3.25 A, USB-A 5 V 3 A, 112 g, de luxe box",
		"USB-C 20 V 3.25 A\n" + strings.Repeat("resistor 10 kΩ, capacitor 47 µF, MOSFET, die size, package SOT-23\n", 20),
		strings.Repeat("Q1 CSD17579 MOSFET 30 V, U2 SW3518S IC, L1 4.7 uH, D3 SMAJ24A TVS, R5 10 mR, C7 470 uF\n", 20),
		"The 小米 charger gives 65 watts.",
		strings.Repeat("5 Ω 10 µA 3 µF ", 40),
		"WEBVTT\nLanguage: en-GB\n\n00:01.000 --> 00:02.000\nfive volts\n",
		"WEBVTT\nKind: captions\nLanguage: und\n\n00:01.000 --> 00:02.000\nfive volts\n",
		`{"language":"english","segments":[{"start":1,"end":2,"text":"five volts"}]}`,
		`<tt xml:lang="en"><body><div><p begin="1s" end="2s">five volts</p></div></body></tt>`,
	} {
		if tr := parse(t, text); tr.Foreign() != "" {
			t.Errorf("%.40s: %s", text, tr.Foreign())
		}
	}
}

// A language in the head of the file counts, whatever the words are.
func TestForeignHead(t *testing.T) {
	for _, text := range []string{
		"WEBVTT\nKind: captions\nLanguage: de\n\n00:01.000 --> 00:02.000\n5 Volt\n",
		`{"segments":[{"start":1,"end":2,"text":"5 Volt"}],"language":"de"}`,
		`<tt xml:lang="de"><body><div><p begin="1s" end="2s">5 Volt</p></div></body></tt>`,
	} {
		if tr := parse(t, text); tr.Language != "de" || tr.Foreign() != `its head says "de"` {
			t.Errorf("%.40s: %q, %q", text, tr.Language, tr.Foreign())
		}
	}
}

// No English narration at hand is taken for another language, by far: no other
// language has half the share of function words that it takes.
func TestForeignLeavesEnglishAlone(t *testing.T) {
	l := loadLanguages()
	n := 0
	for _, dir := range []string{"../../internal/demo/narrations", "../../testdata/independent/words",
		"../../testdata/independent/digits", "../../testdata/captions"} {
		files, err := filepath.Glob(filepath.Join(dir, "*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range files {
			raw, err := os.ReadFile(name)
			if err != nil {
				continue
			}
			tr, err := Parse(name, raw)
			if err != nil {
				continue
			}
			n++
			half := *l
			half.share /= 2
			half.unknown /= 2
			if why := half.judge(tr.Text); why != "" {
				t.Errorf("%s: %s", name, why)
			}
		}
	}
	if n == 0 {
		t.Error("no narration found")
	}
}

// Every row of the tables of this package is well formed and used.
func TestTables(t *testing.T) {
	for _, r := range schema.MustReadTable(tables, "tables/keys.tsv").Rows {
		form := r.Get("form")
		if form == "any" {
			form = "json"
		}
		k := loadKeys().find(form, []byte(" "+strings.ToUpper(r.Get("key"))))
		if k.role == roleNone || k.role != roleNames[r.Get("role")] || k.milli != (r.Get("unit") == "ms") ||
			r.Get("source") == "" {
			t.Errorf("keys.tsv:%d: %v", r.Line, k)
		}
	}
	for _, r := range schema.MustReadTable(tables, "tables/speakers.tsv").Rows {
		if n, known := labelName([]byte(r.Get("word") + " 12 x")); !known || n != len(r.Get("word"))+3 ||
			r.Get("source") == "" {
			t.Errorf("speakers.tsv:%d", r.Line)
		}
	}
}

// TestLanguageTables checks the rows of words and the bounds that distinguish languages.
func TestLanguageTables(t *testing.T) {
	seen := map[string]bool{}
	for _, r := range schema.MustReadTable(tables, "tables/functionwords.tsv").Rows {
		w := r.Get("word")
		if n, _, _ := nextWord([]byte(w)); n != len(w) || w != strings.ToLower(w) || seen[w+r.Get("language")] ||
			r.Get("source") == "" {
			t.Errorf("functionwords.tsv:%d: %q", r.Line, w)
		}
		seen[w+r.Get("language")] = true
		if r.Get("language") != english && (seen[w+english] || len(w) == 1) {
			t.Errorf("functionwords.tsv:%d: %q is English or a letter", r.Line, w)
		}
	}
	if l := loadLanguages(); l.least == 0 || l.share == 0 || l.lead == 0 || l.letters == 0 || l.fewest == 0 ||
		l.few == 0 || l.some == 0 || l.short == 0 || l.none == 0 ||
		l.unknown == 0 || !isEnglish("en-US") || isEnglish("de-CH") {
		t.Errorf("language.tsv: %+v", l)
	}
}

// Every form that is known and not read is refused by its name, with a hint.
func TestRefused(t *testing.T) {
	for _, r := range refusals() {
		src := string(r.mark) + "\x00 more"
		switch r.at {
		case "frames":
			src = "{12}{50}five volts\n{50}{90}three amps\n"
		case "tenths":
			src = "[12][50]five volts\n"
		case "text":
			src = "\ufeff\n " + strings.ToUpper(string(r.mark)) + ">five volts"
		case "json":
			members := strings.Fields(string(r.mark))
			src = `{"` + strings.Join(members, `":1,"`) + `":1}` + "\n"
			if members[0] == "file" {
				src = "[" + src + "]" // as "check" writes them
			}
		default:
			src = strings.Repeat("\x00", r.offset) + src
		}
		_, err := Parse("talk", []byte(src))
		if !errors.Is(err, ErrForm) || !strings.Contains(err.Error(), r.name) ||
			!strings.HasSuffix(err.Error(), "; "+r.hint) {
			t.Errorf("%q: %v", src, err)
		}
	}
	for _, text := range []string{"RIFF is a chip.", "ID3 tags are none.", "PG\x09rating", "[12] five volts",
		"{12} five volts"} {
		if tr, err := Parse("talk", []byte(text)); err != nil || tr.Format != FormatNotes {
			t.Errorf("%q: %v", text, err)
		}
	}
}

//go:build linux

// Package parcelpy_test builds the pack in Python and holds it against its twin in Go:
// over the same contract and from the same folder, the same builds get the same
// findings.
package parcelpy_test

import (
	"context"
	"crypto/ed25519"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"log/slog"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"golang.org/x/crypto/blake2b"
	"google.golang.org/protobuf/proto"

	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/rules/mounting"
	"slipfit.example/rules/parcel"
	"slipfit.example/server"
	"slipfit.example/server/packs"
	"slipfit.example/server/shelf"
)

// bePack in the environment makes this test binary one of the packs in Go.
const bePack = "SLIPFIT_TEST_PACK"

// twinVersion tells the twin in Go from the pack in Python where both serve.
const twinVersion = "1.1.0"

func TestMain(m *testing.M) {
	var pack *kit.Pack
	switch os.Getenv(bePack) {
	case "mounting":
		pack = mounting.Pack()
	case "parcel":
		pack = parcel.Pack()
		pack.Version = twinVersion
	default:
		os.Exit(m.Run())
	}
	evaluator, err := kit.NewEvaluator(pack)
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	process.Serve(pack.Name, kit.NewService(evaluator))
}

// python is the interpreter that has the modules of the pack: the system's, since
// others rarely do.
var python = []string{"/usr/bin/python3", "-I"}

// build builds the pack by its own script and returns its file and the file's digest.
// Where what it takes is missing the test is skipped, but not where everything has to
// be checked.
func build(t *testing.T) (file, digest string) {
	t.Helper()
	missing := func(what string) {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is missing; install protobuf-compiler, python3-grpcio, python3-protobuf and python3-cryptography", what)
		}
		t.Skipf("%s is missing; without it the pack in Python cannot be built and run", what)
	}
	if _, err := exec.LookPath("protoc"); err != nil {
		missing("protoc")
	}
	if err := exec.Command(python[0], "-I", "-c", "import grpc, google.protobuf, cryptography").Run(); err != nil {
		missing("one of the Python modules grpc, google.protobuf and cryptography")
	}
	file = filepath.Join(t.TempDir(), "parcel-py.pyz")
	if out, err := exec.Command("sh", "build.sh", file).CombinedOutput(); err != nil {
		t.Fatalf("building the pack: %v\n%s", err, out)
	}
	body, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	sum := sha256.Sum256(body)
	return file, hex.EncodeToString(sum[:])
}

func TestTheSameSourcesGiveTheSameFile(t *testing.T) {
	_, first := build(t)
	if _, second := build(t); first != second {
		t.Errorf("two builds have the digests %s and %s", first, second)
	}
}

func TestByHandItSaysWhatItIs(t *testing.T) {
	file, _ := build(t)
	out, err := exec.Command(python[0], "-I", file).CombinedOutput()
	const want = `This is the rule pack "parcel". It answers a host and cannot be run by hand; start the server or the command line instead.` + "\n"
	if err == nil || string(out) != want {
		t.Errorf("error %v, it says %s", err, out)
	}
}

func supervise(t *testing.T, o packs.Options, file, digest string) *packs.Instance {
	t.Helper()
	o.Logger, o.StartTimeout, o.ReadyTimeout = slog.New(slog.DiscardHandler), 30*time.Second, 30*time.Second
	s, err := packs.Start(t.Context(), []packs.Launch{{Name: "parcel", Command: []string{file}, SHA256: digest, Interpreter: python}}, o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
	})
	i, err := s.Pack("parcel").Instance()
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// Both versions of the protocol and the socket without certificates work too.
func TestEveryWayToSpeakWithItWorks(t *testing.T) {
	file, digest := build(t)
	for name, o := range map[string]packs.Options{"with certificates": {}, "without": {NoTLS: true}} {
		t.Run(name, func(t *testing.T) {
			i := supervise(t, o, file, digest)
			evaluator, err := kit.NewEvaluator(parcel.Pack())
			if err != nil {
				t.Fatal(err)
			}
			if want := evaluator.Describe(); !proto.Equal(i.Describe(), want) {
				t.Errorf("it says of itself\n%v\nand its twin\n%v", i.Describe(), want)
			}
			if again := ask(t, i, &v1.CheckRequest{Build: &v1.Build{Id: proto.String("owl")}}, nil); again.GetVerdict() != v1.Verdict_VERDICT_PASS {
				t.Errorf("a build without anything is answered %v", again)
			}
		})
	}
}

// In the service, from a signed folder, both versions answer the same build, and the
// facts of a pack in Go reach the one in Python.
func TestBothTwinsServeSideBySide(t *testing.T) {
	file, digest := build(t)
	folder := signedFolder(t, file, digest)
	self := func(name string) packs.Launch {
		return packs.Launch{Name: name, Command: []string{os.Args[0]}, Env: []string{bePack + "=" + name}}
	}
	log := slog.New(slog.DiscardHandler)
	s, err := server.Start(t.Context(), server.Config{
		Packs: []packs.Launch{self("mounting"), self("parcel")}, Shelf: folder, Log: log, PackTimeout: 30 * time.Second,
		PackOptions: packs.Options{Logger: log, StartTimeout: 30 * time.Second, ReadyTimeout: 30 * time.Second},
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Stop(context.Background()); err != nil {
			t.Error(err)
		}
	})
	conn, err := s.Connect()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = conn.Close() })
	findings := map[string]*v1.CheckResponse{}
	for _, version := range []string{"1.0.0", twinVersion} {
		answer, err := v1.NewCheckServiceClient(conn).Check(t.Context(), &v1.CheckRequest{
			Build: heavyBuild(), Packs: []*v1.PackPin{{Name: proto.String("parcel"), Version: &version}, {Name: proto.String("mounting")}},
		})
		if err != nil {
			t.Fatal(err)
		}
		findings[version] = ofParcel(answer, version)
	}
	inPython, inGo := findings["1.0.0"], findings[twinVersion]
	if len(inPython.Findings) != 2 || !proto.Equal(inPython, inGo) {
		t.Errorf("in Python: %v\nin Go:     %v", inPython, inGo)
	}
	if mass := inPython.Findings[1]; mass.GetVerdict() != v1.Verdict_VERDICT_FAIL || mass.GetMeasured().GetNominal() != 26.5 {
		t.Errorf("a machine of 25 kg is answered %v", mass)
	}
}

// heavyBuild is one enclosure that alone weighs 25 kg.
func heavyBuild() *v1.Build {
	return &v1.Build{Id: proto.String("owl"), Items: []*v1.Item{{
		Id: proto.String("case"),
		Part: &v1.Part{
			Id: proto.String("nest"), Name: proto.String("Nest"), MassG: proto.Float64(25000),
			Kind: &v1.Part_Chassis{Chassis: &v1.Chassis{WidthMm: proto.Float64(300), HeightMm: proto.Float64(400), DepthMm: proto.Float64(500)}},
		},
	}}}
}

// ofParcel are the findings of one version of the pack, without their version.
func ofParcel(answer *v1.CheckResponse, version string) *v1.CheckResponse {
	out := new(v1.CheckResponse)
	for _, f := range answer.Findings {
		if f.GetPack() == "parcel" && f.GetVersion() == version {
			f.Version = nil
			out.Findings = append(out.Findings, f)
		}
	}
	return out
}

// signedFolder is a pack folder with the pack in Python, signed.
func signedFolder(t *testing.T, file, digest string) *shelf.Folder {
	t.Helper()
	public, private, err := ed25519.GenerateKey(rand.Reader)
	if err != nil {
		t.Fatal(err)
	}
	key, err := shelf.ParseKey(base64.StdEncoding.EncodeToString(append([]byte("Edabcdefgh"), public...)))
	if err != nil {
		t.Fatal(err)
	}
	manifest, err := (&shelf.Manifest{Revision: 1, Packs: []shelf.Entry{{
		Name: "parcel", Version: "1.0.0", Protocol: 2, Program: filepath.Base(file), SHA256: digest, Interpreter: "python3",
		Needs: []string{"mounting.assembly"},
	}}}).Encode()
	if err != nil {
		t.Fatal(err)
	}
	sum := blake2b.Sum512(manifest)
	signature := ed25519.Sign(private, sum[:])
	whole := ed25519.Sign(private, append(append([]byte{}, signature...), "c"...))
	seal := "untrusted comment: x\n" + base64.StdEncoding.EncodeToString(append([]byte("EDabcdefgh"), signature...)) +
		"\ntrusted comment: c\n" + base64.StdEncoding.EncodeToString(whole) + "\n"
	dir := filepath.Dir(file)
	for name, data := range map[string][]byte{shelf.ManifestFile: manifest, shelf.SignatureFile: []byte(seal)} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return &shelf.Folder{Path: dir, Keys: []shelf.Key{key}, Interpreters: map[string][]string{"python3": python}}
}

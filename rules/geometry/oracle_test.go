package geometry

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// placedBox is a local box with its pose as the kernel's script reads it.
type placedBox struct {
	Min Vec `json:"min"`
	Max Vec `json:"max"`
	X   Vec `json:"x"`
	Y   Vec `json:"y"`
	Z   Vec `json:"z"`
	At  Vec `json:"at"`
}

type oraclePair struct {
	A    placedBox `json:"a"`
	B    placedBox `json:"b"`
	Push []Vec     `json:"push,omitempty"`
}

type oracleSet struct {
	Boxes [][2]Vec `json:"boxes"`
	Level float64  `json:"level"`
}

type oracleAnswer struct {
	Pairs []struct {
		Overlap  float64   `json:"overlap"`
		Distance float64   `json:"distance"`
		Bounds   [2]Vec    `json:"bounds"`
		Pushed   []float64 `json:"pushed"`
	} `json:"pairs"`
	Sets []struct {
		Union float64 `json:"union"`
		Slice float64 `json:"slice"`
	} `json:"sets"`
}

// oracleReach is further than any two boxes of the test lie apart, in mm.
const oracleReach = 5000

// kernelFolder installs the geometry kernel of testdata/oracle into a temporary folder. Without node and npm the test is
// skipped on a developer's machine and fails where CI is set.
func kernelFolder(t *testing.T) string {
	t.Helper()
	missing := t.Skipf
	if os.Getenv("CI") != "" {
		missing = t.Fatalf
	}
	for _, tool := range []string{"node", "npm"} {
		if _, err := exec.LookPath(tool); err != nil {
			missing("%s is missing, so no independent geometry kernel can be run: %v", tool, err)
		}
	}
	dir := t.TempDir()
	for _, name := range []string{"package.json", "package-lock.json"} {
		data, err := os.ReadFile(filepath.Join("testdata", "oracle", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	install := exec.Command("npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund", "--prefer-offline")
	install.Dir = dir
	if out, err := install.CombinedOutput(); err != nil {
		missing("the geometry kernel cannot be installed: %v\n%s", err, out)
	}
	return dir
}

func askKernel(t *testing.T, pairs []oraclePair, sets []oracleSet) oracleAnswer {
	t.Helper()
	job, err := json.Marshal(map[string]any{"pairs": pairs, "sets": sets, "reach": oracleReach})
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", filepath.Join("testdata", "oracle", "measure.mjs"), kernelFolder(t))
	cmd.Stdin = bytes.NewReader(job)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("the geometry kernel failed: %v\n%s", err, stderr.String())
	}
	var answer oracleAnswer
	if err := json.Unmarshal(out, &answer); err != nil {
		t.Fatal(err)
	}
	return answer
}

func randomPlaced(t *testing.T, r *rand.Rand) (placedBox, Box) {
	t.Helper()
	lo := Vec{r.Float64()*100 - 80, r.Float64()*100 - 80, r.Float64()*100 - 80}
	size := Vec{0.5 + r.Float64()*150, 0.5 + r.Float64()*150, 0.5 + r.Float64()*150}
	if r.IntN(4) == 0 { // whole millimetres make faces meet exactly
		for k := range lo {
			lo[k], size[k] = math.Round(lo[k]), 1+math.Round(size[k])
		}
	}
	local, err := NewBoxAt(lo, size)
	if err != nil {
		t.Fatal(err)
	}
	turn := Rotations()[r.IntN(24)]
	at := Vec{float64(r.IntN(100) - 50), float64(r.IntN(100) - 50), float64(r.IntN(100) - 50)}
	pose, err := NewPose(turn, at)
	if err != nil {
		t.Fatal(err)
	}
	return placedBox{local.Min(), local.Max(), turn.Vec(Vec{1, 0, 0}), turn.Vec(Vec{0, 1, 0}), turn.Vec(Vec{0, 0, 1}), at}, pose.Box(local)
}

func near(a, b, scale float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(1, scale) }

// Ten thousand pairs of placed boxes against the solid-modelling kernel manifold-3d 3.2.1: pose, overlap volume,
// Euclidean distance, and for every tenth overlapping pair the least penetration.
func TestPairsAgainstGeometryKernel(t *testing.T) {
	const pairs, sets = 10_000, 200
	r := rand.New(rand.NewPCG(1, 2))
	job := make([]oraclePair, pairs)
	boxes := make([][2]Box, pairs)
	pushed := 0
	for i := range job {
		job[i].A, boxes[i][0] = randomPlaced(t, r)
		job[i].B, boxes[i][1] = randomPlaced(t, r)
		if s := Separate(boxes[i][0], boxes[i][1]); s.Distance < -0.01 && i%10 == 0 {
			job[i].Push = pushes(s)
			pushed++
		}
	}
	setJob, setBoxes := randomSets(t, r, sets)
	answer := askKernel(t, job, setJob)
	if len(answer.Pairs) != pairs || len(answer.Sets) != sets {
		t.Fatalf("the kernel answered %d pairs and %d sets", len(answer.Pairs), len(answer.Sets))
	}
	apart := 0
	for i, want := range answer.Pairs {
		a, b := boxes[i][0], boxes[i][1]
		for k := range 3 {
			if !near(a.Min()[k], want.Bounds[0][k], 1000) || !near(a.Max()[k], want.Bounds[1][k], 1000) {
				t.Fatalf("pair %d: placed box %v, kernel %v", i, a, want.Bounds)
			}
		}
		if got := OverlapVolume(a, b); !near(got, want.Overlap, 1e6) {
			t.Fatalf("pair %d: overlap %v mm3, kernel %v mm3", i, got, want.Overlap)
		}
		if got := Distance(a, b); math.Abs(got-want.Distance) > 1e-6 {
			t.Fatalf("pair %d: distance %v mm, kernel %v mm", i, got, want.Distance)
		}
		s := Separate(a, b)
		if s.Distance > 0 {
			apart++
		}
		if (want.Overlap > 1e-6) != (s.Distance < -1e-9) && s.Distance < -1e-6 {
			t.Fatalf("pair %d: signed separation %v mm, kernel's overlap %v mm3", i, s.Distance, want.Overlap)
		}
		for n, v := range want.Pushed {
			if free := n == 0; free != (v < 1e-9) {
				t.Fatalf("pair %d: separation %+v, push %v leaves an overlap of %v mm3", i, s, job[i].Push[n], v)
			}
		}
	}
	if apart < pairs/10 || apart > pairs*9/10 || pushed < 100 {
		t.Fatalf("the sample is lopsided: %d of %d pairs lie apart, %d pushed", apart, pairs, pushed)
	}
	var w Workspace
	for i, want := range answer.Sets {
		if got := w.UnionVolume(setBoxes[i]); !near(got, want.Union, 1e7) {
			t.Errorf("set %d: union %v mm3, kernel %v mm3", i, got, want.Union)
		}
		hull := box(t, Vec{-400, -400, -400}, Vec{400, 400, 400})
		if got := 800*800 - w.FreeArea(hull, Z, setJob[i].Level, setBoxes[i]); !near(got, want.Slice, 1e6) {
			t.Errorf("set %d: section %v mm2, kernel %v mm2", i, got, want.Slice)
		}
	}
}

// pushes returns moves of the second box: the first one is the named separation and a hair, the others fall short of the
// named depth by a hair in all six directions.
func pushes(s Separation) []Vec {
	depth := -s.Distance
	out := []Vec{s.FaceA.Normal().Scale(depth + 1e-6)}
	for f := MinX; f < NoFace; f++ {
		out = append(out, f.Normal().Scale(depth-1e-3))
	}
	return out
}

func randomSets(t *testing.T, r *rand.Rand, n int) ([]oracleSet, [][]Box) {
	t.Helper()
	job, all := make([]oracleSet, n), make([][]Box, n)
	for i := range job {
		job[i].Level = r.Float64()*100 - 50
		for range 2 + r.IntN(14) {
			_, b := randomPlaced(t, r)
			all[i] = append(all[i], b)
			job[i].Boxes = append(job[i].Boxes, [2]Vec{b.Min(), b.Max()})
		}
	}
	return job, all
}

package slipfit_test

import (
	"context"
	"fmt"
	"log"
	"maps"
	"net"
	"os"
	"slices"
	"testing"
	"time"

	"google.golang.org/protobuf/proto"

	slipfit "slipfit.example/clients/go"
	v1 "slipfit.example/proto/slipfit/v1"
	"slipfit.example/rules/clearance"
	"slipfit.example/rules/kit"
	"slipfit.example/rules/kit/process"
	"slipfit.example/server"
	"slipfit.example/server/packs"
)

// bePack in the environment makes the test binary the pack of the service that the
// examples ask.
const bePack = "SLIPFIT_TEST_PACK"

var address string

func TestMain(m *testing.M) {
	if os.Getenv(bePack) != "" {
		evaluator, err := kit.NewEvaluator(clearance.Pack())
		if err != nil {
			log.Fatal(err)
		}
		process.Serve("clearance", kit.NewService(evaluator))
		return
	}
	s, err := server.Start(context.Background(), server.Config{
		Packs: []packs.Launch{{Name: "clearance", Command: []string{os.Args[0]}, Env: []string{bePack + "=1"}}},
	})
	if err != nil {
		log.Fatal(err)
	}
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		log.Fatal(err)
	}
	address = l.Addr().String()
	go func() { _ = s.Serve(l) }()
	code := m.Run()
	if err := s.Stop(context.Background()); err != nil {
		log.Fatal(err)
	}
	os.Exit(code)
}

// basket is a cooler of some height under a side panel that leaves 70 mm.
func basket(coolerMm float64) *v1.CheckRequest {
	return &v1.CheckRequest{Build: &v1.Build{
		Id: proto.String("desk"),
		Items: []*v1.Item{
			{Id: proto.String("enclosure"), Part: &v1.Part{
				Id: proto.String("heath-9"), Name: proto.String("Heath 9"),
				Kind: &v1.Part_Chassis{Chassis: &v1.Chassis{Limits: &v1.ChassisLimits{CoolerHeightMm: proto.Float64(70)}}},
			}},
			{Id: proto.String("cooler"), Part: cooler("plover", coolerMm)},
		},
	}}
}

func cooler(id string, mm float64) *v1.Part {
	return &v1.Part{Id: &id, Name: proto.String("Cooler " + id), Kind: &v1.Part_AirCooler{AirCooler: &v1.AirCooler{HeightMm: &mm}}}
}

// height is what the rule about the cooler's height says.
func height(answer *v1.CheckResponse) string {
	for _, f := range answer.GetFindings() {
		if f.GetRule() == "clearance.cooler-height" {
			return f.GetVerdict().String()
		}
	}
	return "nothing"
}

func ExampleClient_Check() {
	client, err := slipfit.Dial(address, slipfit.Options{Timeout: 10 * time.Second})
	if err != nil {
		log.Fatal(err)
	}
	defer client.Close()
	answer, err := client.Check(context.Background(), basket(85))
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(height(answer))
	// Output: VERDICT_FAIL
}

func ExampleRefused() {
	client, err := slipfit.Dial(address, slipfit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	defer client.Close()
	bad := basket(60)
	bad.Build.Items[1].Id = proto.String("No Id")
	_, err = client.Check(context.Background(), bad)
	for _, v := range slipfit.Refused(err) {
		fmt.Println(v.GetPath())
	}
	// Output: build.items[1].id
}

func ExampleClient_Basket() {
	client, err := slipfit.Dial(address, slipfit.Options{Fresh: 30 * time.Second})
	if err != nil {
		log.Fatal(err)
	}
	defer client.Close()
	answered := make(chan string)
	visitor := client.Basket(context.Background(), 300*time.Millisecond, func(_ *v1.CheckRequest, answer *v1.CheckResponse, err error) {
		if err != nil {
			log.Fatal(err)
		}
		answered <- height(answer)
	})
	visitor.Ask(basket(85)) // given up before it is asked
	visitor.Ask(basket(60))
	fmt.Println(<-answered)
	visitor.Close()
	// Output: VERDICT_PASS
}

func ExampleClient_CheckMany() {
	client, err := slipfit.Dial(address, slipfit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	defer client.Close()
	entries := map[string]*v1.CheckRequest{"low": basket(60), "tall": basket(85), "bad": {}}
	said := map[string]string{}
	for reply, err := range client.CheckMany(context.Background(), maps.All(entries)) {
		switch {
		case err != nil:
			log.Fatal(err)
		case reply.Refusal != nil:
			said[reply.Tag] = "refused"
		default:
			said[reply.Tag] = height(reply.Answer)
		}
	}
	fmt.Println(said)
	// Output: map[bad:refused low:VERDICT_PASS tall:VERDICT_FAIL]
}

func ExampleClient_ShortlistMany() {
	client, err := slipfit.Dial(address, slipfit.Options{})
	if err != nil {
		log.Fatal(err)
	}
	defer client.Close()
	plan := &v1.ShortlistPlan{Build: basket(85).Build, Item: proto.String("cooler")}
	candidates := slices.Values([]*v1.Part{cooler("wren", 64), cooler("crane", 158), cooler("stint", 37)})
	for reply, err := range client.ShortlistMany(context.Background(), plan, candidates) {
		if err != nil {
			log.Fatal(err)
		}
		if c := reply.GetCandidate(); c != nil {
			fmt.Println(c.GetId())
		}
	}
	// Output:
	// stint
	// wren
}

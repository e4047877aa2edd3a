// What the views use of SwiftUI, declared for type-checking on Linux: nothing here draws. Each declaration follows the
// page of Apple's documentation that is named above it, below https://developer.apple.com/documentation/swiftui/
// (written down from memory; compare when one is changed). On Apple systems this target does not exist.
@_exported import Foundation
@_exported import Observation
@_exported import UIKit
import UniformTypeIdentifiers

// app, app/body-swift.property, app/init(), app/main(), scene, scene/body-swift.property, windowgroup/init(content:)
@MainActor @preconcurrency public protocol App {
  associatedtype Body: Scene
  @MainActor @preconcurrency var body: Body { get }
  @MainActor @preconcurrency init()
}
extension App { @MainActor public static func main() {} }
@MainActor @preconcurrency public protocol Scene {
  associatedtype Body: Scene
  @MainActor @preconcurrency var body: Body { get }
}
extension Never: Scene {}
public struct WindowGroup<C: View>: Scene {
  public init(@ViewBuilder content: () -> C) {}
  public var body: Never { fatalError() }
}

// scene/backgroundtask(_:action:), backgroundtask/apprefresh(_:)
public struct BackgroundTask<Request: Sendable, Response: Sendable>: Sendable {}
extension BackgroundTask where Request == Void, Response == Void {
  public static func appRefresh(_ matching: String) -> BackgroundTask<Void, Void> {
    BackgroundTask<Void, Void>()
  }
}
extension Scene {
  public func backgroundTask<D: Sendable, R: Sendable>(
    _ task: BackgroundTask<D, R>, action: @escaping @Sendable (D) async -> R
  ) -> some Scene { self }
}

// uiapplicationdelegateadaptor/init(_:), uiapplicationdelegateadaptor/wrappedvalue
@MainActor @preconcurrency @propertyWrapper
public struct UIApplicationDelegateAdaptor<D: NSObject & UIApplicationDelegate> {
  public init(_ delegateType: D.Type = D.self) {}
  public var wrappedValue: D { fatalError() }
}

// scenestorage/init(wrappedvalue:_:), scenestorage/wrappedvalue: of Data alone
@propertyWrapper public struct SceneStorage {
  public init(wrappedValue: Data, _ key: String) {}
  public var wrappedValue: Data {
    get { fatalError() }
    nonmutating set {}
  }
}

// uiviewcontrollerrepresentable/uiviewcontrollertype, uiviewcontrollerrepresentable/coordinator,
// uiviewcontrollerrepresentable/context, uiviewcontrollerrepresentable/makeuiviewcontroller(context:),
// uiviewcontrollerrepresentable/updateuiviewcontroller(_:context:), uiviewcontrollerrepresentable/makecoordinator()
@MainActor @preconcurrency public protocol UIViewControllerRepresentable: View where Body == Never {
  associatedtype UIViewControllerType: UIViewController
  associatedtype Coordinator = Void
  typealias Context = UIViewControllerRepresentableContext<Self>
  @MainActor @preconcurrency func makeUIViewController(context: Context) -> UIViewControllerType
  @MainActor @preconcurrency func updateUIViewController(
    _ uiViewController: UIViewControllerType, context: Context)
  @MainActor @preconcurrency func makeCoordinator() -> Coordinator
}
extension UIViewControllerRepresentable { public var body: Never { fatalError() } }
extension UIViewControllerRepresentable where Coordinator == Void {
  public func makeCoordinator() {}
}
// uiviewcontrollerrepresentablecontext/coordinator
@MainActor public struct UIViewControllerRepresentableContext<R: UIViewControllerRepresentable> {
  public let coordinator: R.Coordinator
}

// view, view/body-8kl5o
@MainActor @preconcurrency public protocol View {
  associatedtype Body: View
  @ViewBuilder @MainActor @preconcurrency var body: Body { get }
}
extension Never: View { public var body: Never { fatalError() } }
// Our own Leaf: a view that holds no other to be looked into.
public protocol Leaf: View where Body == Never {}
extension Leaf { public var body: Never { fatalError() } }

// emptyview
public struct EmptyView: Leaf { public nonisolated init() {} }
// group/init(content:)
public struct Group<C: View>: Leaf { public init(@ViewBuilder content: () -> C) {} }
// tupleview
public struct TupleView<each V: View>: Leaf {}
// Our own Either: what a builder makes of two branches.
public struct Either<A: View, B: View>: Leaf {}
extension Optional: View where Wrapped: View { public var body: Never { fatalError() } }
// viewbuilder/buildblock(), viewbuilder/buildblock(_:), viewbuilder/buildexpression(_:), viewbuilder/buildif(_:),
// viewbuilder/buildeither(first:), viewbuilder/buildeither(second:)
@resultBuilder public enum ViewBuilder {
  public static func buildBlock() -> EmptyView { EmptyView() }
  public static func buildBlock<V: View>(_ v: V) -> V { v }
  public static func buildBlock<each V: View>(_ v: repeat each V) -> TupleView<repeat each V> {
    fatalError()
  }
  public static func buildExpression<V: View>(_ v: V) -> V { v }
  public static func buildIf<V: View>(_ v: V?) -> V? { v }
  public static func buildEither<A: View, B: View>(first: A) -> Either<A, B> { fatalError() }
  public static func buildEither<A: View, B: View>(second: B) -> Either<A, B> { fatalError() }
}

// text, text/init(verbatim:)
public struct Text {
  public init(verbatim content: String) {}
  // text/font(_:), text/foregroundstyle(_:)
  public func font(_ font: Font?) -> Text { self }
  public func foregroundStyle<S: ShapeStyle>(_ style: S) -> Text { self }
}
extension Text: Leaf {}

// font, font/title2, font/body, font/callout, font/headline, font/weight, font/system(size:weight:design:)
public struct Font: Sendable {
  public static let title2 = Font()
  public static let body = Font()
  public static let callout = Font()
  public static let headline = Font()
  public enum Weight: Sendable { case regular, bold }
  public static func system(size: CGFloat, weight: Weight? = nil) -> Font { Font() }
  // font/monospaceddigit()
  public func monospacedDigit() -> Font { self }
}

// shapestyle, color/init(_:red:green:blue:opacity:), color/rgbcolorspace
public protocol ShapeStyle: Sendable {}
public struct Color: ShapeStyle {
  public enum RGBColorSpace: Sendable { case sRGB }
  public init(
    _ colorSpace: RGBColorSpace = .sRGB, red: Double, green: Double, blue: Double,
    opacity: Double = 1
  ) {}
}

extension Color: Leaf {}

// lazyvstack
public struct LazyVStack<C: View>: Leaf {
  public init(
    alignment: HorizontalAlignment, spacing: CGFloat? = nil, @ViewBuilder content: () -> C
  ) {}
}
// dynamictypesize
public enum DynamicTypeSize: Comparable, Hashable, Sendable {
  case xSmall, small, medium, large, xLarge, xxLarge, xxxLarge
  case accessibility1, accessibility2, accessibility3, accessibility4, accessibility5
}
// horizontalalignment/leading, vstack/init(alignment:spacing:content:), hstack/init(alignment:spacing:content:)
public enum HorizontalAlignment: Sendable { case leading }
public struct VStack<C: View>: Leaf {
  public init(
    alignment: HorizontalAlignment, spacing: CGFloat? = nil, @ViewBuilder content: () -> C
  ) {}
}
public struct HStack<C: View>: Leaf {
  public init(spacing: CGFloat? = nil, @ViewBuilder content: () -> C) {}
}
// scrollview/init(_:showsindicators:content:), axis/set
public struct ScrollView<C: View>: Leaf {
  public init(_ axes: Axis.Set = .vertical, @ViewBuilder content: () -> C) {}
}
public enum Axis: Sendable {
  public struct Set: OptionSet, Sendable {
    public let rawValue: Int
    public init(rawValue: Int) { self.rawValue = rawValue }
    public static let horizontal = Set(rawValue: 1)
    public static let vertical = Set(rawValue: 2)
  }
}
// griditem/init(_:spacing:alignment:), griditem/size-swift.enum, lazyvgrid/init(columns:alignment:spacing:pinnedviews:content:)
public struct GridItem: Sendable {
  public enum Size: Sendable {
    case flexible(minimum: CGFloat = 10, maximum: CGFloat = .infinity)
    case adaptive(minimum: CGFloat, maximum: CGFloat = .infinity)
  }
  public init(_ size: Size = .flexible(), spacing: CGFloat? = nil) {}
}
public struct LazyVGrid<C: View>: Leaf {
  public init(columns: [GridItem], spacing: CGFloat? = nil, @ViewBuilder content: () -> C) {}
}
// divider, spacer/init(minlength:)
public struct Divider: Leaf { public init() {} }
public struct Spacer: Leaf { public init(minLength: CGFloat? = nil) {} }

// foreach/init(_:content:)
public struct ForEach<D: RandomAccessCollection, C: View>: Leaf where D.Element: Identifiable {
  public init(_ data: D, @ViewBuilder content: @escaping (D.Element) -> C) {}
}

// button/init(action:label:)
public struct Button<L: View>: Leaf {
  public init(action: @escaping @MainActor () -> Void, @ViewBuilder label: () -> L) {}
}

// textfield/init(text:prompt:label:)
public struct TextField<L: View>: Leaf {
  public init(text: Binding<String>, prompt: Text? = nil, @ViewBuilder label: () -> L) {}
}

// slider/init(value:in:step:label:oneditingchanged:)
public struct Slider<L: View>: Leaf {
  public init<V: BinaryFloatingPoint>(
    value: Binding<V>, in bounds: ClosedRange<V>, step: V.Stride = 1, @ViewBuilder label: () -> L
  ) where V.Stride: BinaryFloatingPoint {}
}

// toggle/init(ison:label:)
public struct Toggle<L: View>: Leaf {
  public init(isOn: Binding<Bool>, @ViewBuilder label: () -> L) {}
}

// binding/init(get:set:), binding/wrappedvalue, binding/projectedvalue, state/init(wrappedvalue:), state/init(),
// state/wrappedvalue, state/projectedvalue, environment/init(_:), environment/wrappedvalue
@propertyWrapper public struct Binding<V> {
  public var wrappedValue: V {
    get { fatalError() }
    nonmutating set {}
  }
  public var projectedValue: Binding<V> { self }
  @preconcurrency public init(
    get: @escaping @isolated(any) @Sendable () -> V,
    set: @escaping @isolated(any) @Sendable (V) -> Void
  ) {}
}
@propertyWrapper public struct State<V> {
  public init(wrappedValue: V) {}
  public init() where V: ExpressibleByNilLiteral {}
  public var wrappedValue: V {
    get { fatalError() }
    nonmutating set {}
  }
  public var projectedValue: Binding<V> { fatalError() }
}
@propertyWrapper public struct Environment<V> {
  public init(_ keyPath: KeyPath<EnvironmentValues, V>) {}
  public var wrappedValue: V { fatalError() }
}
public struct EnvironmentValues {
  // environmentvalues/horizontalsizeclass, environmentvalues/colorscheme
  public var horizontalSizeClass: UserInterfaceSizeClass? { nil }
  public var colorScheme: ColorScheme { .light }
  // environmentvalues/scenephase
  public var scenePhase: ScenePhase { .active }
}
// scenephase, userinterfacesizeclass, colorscheme
public enum ScenePhase: Sendable { case background, inactive, active }
public enum UserInterfaceSizeClass: Sendable { case compact, regular }
public enum ColorScheme: Sendable { case light, dark }

// scaledmetric/init(wrappedvalue:), scaledmetric/wrappedvalue
@propertyWrapper public struct ScaledMetric<V: BinaryFloatingPoint> {
  public init(wrappedValue: V) { self.wrappedValue = wrappedValue }
  public var wrappedValue: V
}

// navigationstack/init(path:root:)
public struct NavigationStack<C: View>: Leaf {
  public init(path: Binding<[Int]>, @ViewBuilder root: () -> C) {}
}

// canvas/init(opaque:colormode:rendersasynchronously:renderer:), graphicscontext/scaleby(x:y:),
// graphicscontext/stroke(_:with:style:), graphicscontext/fill(_:with:style:), graphicscontext/shading/color(_:)
public struct Canvas: Leaf {
  public init(renderer: @escaping (inout GraphicsContext, CGSize) -> Void) {}
}
public struct GraphicsContext {
  public struct Shading: Sendable {
    public static func color(_ color: Color) -> Shading { Shading() }
  }
  // graphicscontext/resolvedtext/measure(in:), graphicscontext/resolvedtext/firstbaseline(in:)
  public struct ResolvedText {
    public func measure(in size: CGSize) -> CGSize { size }
    public func firstBaseline(in size: CGSize) -> CGFloat { 0 }
  }
  public mutating func scaleBy(x: CGFloat, y: CGFloat) {}
  public func stroke(_ path: Path, with shading: Shading, style: StrokeStyle) {}
  public func fill(_ path: Path, with shading: Shading) {}
  // graphicscontext/resolve(_:)-4dx65, graphicscontext/draw(_:at:anchor:)-6xr87
  public func resolve(_ text: Text) -> ResolvedText { ResolvedText() }
  public func draw(_ text: ResolvedText, at point: CGPoint, anchor: UnitPoint) {}
}
// strokestyle/init(linewidth:linecap:linejoin:miterlimit:dash:dashphase:)
public struct StrokeStyle: Sendable {
  public init(lineWidth: CGFloat = 1, dash: [CGFloat] = []) {}
}
// unitpoint/topleading, unitpoint/top, unitpoint/toptrailing
public struct UnitPoint: Sendable {
  public static let topLeading = UnitPoint()
  public static let top = UnitPoint()
  public static let topTrailing = UnitPoint()
}
// angle/degrees(_:)
public struct Angle: Sendable { public static func degrees(_ degrees: Double) -> Angle { Angle() } }
// path/init(), path/init(ellipsein:), path/move(to:), path/addline(to:), path/closesubpath(),
// path/addarc(center:radius:startangle:endangle:clockwise:transform:)
public struct Path: Sendable {
  public init() {}
  public init(ellipseIn rect: CGRect) {}
  public mutating func move(to end: CGPoint) {}
  public mutating func addLine(to end: CGPoint) {}
  public mutating func closeSubpath() {}
  public mutating func addArc(
    center: CGPoint, radius: CGFloat, startAngle: Angle, endAngle: Angle, clockwise: Bool
  ) {}
}

// accessibilitytraits, accessibilitychildbehavior
public struct AccessibilityTraits: Sendable {
  public static let isHeader = AccessibilityTraits()
  public static let isSelected = AccessibilityTraits()
  public static let isButton = AccessibilityTraits()
  public static let isImage = AccessibilityTraits()
}
extension AccessibilityTraits: ExpressibleByArrayLiteral {
  public init(arrayLiteral: AccessibilityTraits...) {}
}
public struct AccessibilityChildBehavior: Sendable {
  public static let ignore = AccessibilityChildBehavior()
}
// sensoryfeedback/selection
public struct SensoryFeedback: Sendable { public static let selection = SensoryFeedback() }
// alignment, verticaledge
public enum Alignment: Sendable { case leading, center }
public enum VerticalEdge: Sendable { case bottom }

extension View {
  // view/font(_:), view/foregroundstyle(_:), view/background(_:ignoressafeareaedges:), view/padding(_:)
  public func font(_ font: Font?) -> some View { self }
  public func foregroundStyle<S: ShapeStyle>(_ style: S) -> some View { self }
  public func background<S: ShapeStyle>(_ style: S) -> some View { self }
  public func padding(_ length: CGFloat) -> some View { self }
  // view/frame(minwidth:idealwidth:maxwidth:minheight:idealheight:maxheight:alignment:)
  public func frame(
    minWidth: CGFloat? = nil, maxWidth: CGFloat? = nil, minHeight: CGFloat? = nil,
    maxHeight: CGFloat? = nil, alignment: Alignment = .center
  ) -> some View { self }
  // view/frame(width:height:alignment:)
  public func frame(width: CGFloat? = nil, height: CGFloat? = nil, alignment: Alignment = .center)
    -> some View
  { self }
  // view/accessibilityelement(children:), view/accessibilitylabel(_:), view/accessibilityvalue(_:),
  // view/accessibilityaddtraits(_:)
  public func accessibilityElement(children: AccessibilityChildBehavior) -> some View { self }
  public func accessibilityLabel(_ label: Text) -> some View { self }
  public func accessibilityValue(_ value: Text) -> some View { self }
  public func accessibilityAddTraits(_ traits: AccessibilityTraits) -> some View { self }
  // view/onappear(perform:)
  public func onAppear(perform action: (() -> Void)? = nil) -> some View { self }
  // view/onchange(of:initial:_:): of an action with both values, and of one without
  public func onChange<V: Equatable>(of value: V, _ action: @escaping @MainActor () -> Void)
    -> some View
  { self }
  public func onChange<V: Equatable>(of value: V, _ action: @escaping @MainActor (V, V) -> Void)
    -> some View
  { self }
  // view/task(priority:_:)
  public func task(
    priority: TaskPriority = .userInitiated,
    @_inheritActorContext _ action: @escaping @Sendable () async -> Void
  ) -> some View { self }
  // view/sheet(item:ondismiss:content:), view/sheet(ispresented:ondismiss:content:)
  public func sheet<I: Identifiable, C: View>(
    item: Binding<I?>, onDismiss: (() -> Void)? = nil, @ViewBuilder content: @escaping (I) -> C
  ) -> some View { self }
  public func sheet<C: View>(
    isPresented: Binding<Bool>, onDismiss: (() -> Void)? = nil,
    @ViewBuilder content: @escaping () -> C
  ) -> some View { self }
  // view/fileimporter(ispresented:allowedcontenttypes:oncompletion:)
  public func fileImporter(
    isPresented: Binding<Bool>, allowedContentTypes: [UTType],
    onCompletion: @escaping (Result<URL, any Error>) -> Void
  ) -> some View { self }
  // view/navigationtitle(_:), view/navigationdestination(for:destination:)
  public func navigationTitle(_ title: Text) -> some View { self }
  public func navigationDestination<D: Hashable, C: View>(
    for data: D.Type, @ViewBuilder destination: @escaping (D) -> C
  ) -> some View { self }
  // view/safeareainset(edge:alignment:spacing:content:)
  public func safeAreaInset<C: View>(edge: VerticalEdge, @ViewBuilder content: () -> C) -> some View
  { self }
  // view/dynamictypesize(_:)
  public func dynamicTypeSize<T>(_ range: T) -> some View
  where T: RangeExpression, T.Bound == DynamicTypeSize { self }
  // view/preferredcolorscheme(_:)
  public func preferredColorScheme(_ colorScheme: ColorScheme?) -> some View { self }
  // view/sensoryfeedback(trigger:_:)
  public func sensoryFeedback<T: Equatable>(
    trigger: T, _ feedback: @escaping (T, T) -> SensoryFeedback?
  ) -> some View { self }
}

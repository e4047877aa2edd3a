// Not verified here: no Android SDK is on the project's machines. It packs the generated code, the
// hand-shaped layer and the native libraries that `build-android` makes into one AAR for apps.
plugins {
    id("com.android.library") version "8.12.0"
    id("org.jetbrains.kotlin.android") version "2.4.21"
    `maven-publish`
}

group = "dev.fallaway"
version = "0.1.0"

/** What `build-android` made: code under `kotlin`, libraries under `jniLibs/<ABI>`. */
val made: File = rootDir.resolve(
    providers.gradleProperty("fallaway.made")
        .orElse(providers.environmentVariable("CARGO_TARGET_DIR").map { "$it/bindings/android" })
        .getOrElse("../../../target/bindings/android"),
)

android {
    namespace = "dev.fallaway"
    compileSdk = 36

    defaultConfig {
        minSdk = 26
        ndk { abiFilters += listOf("arm64-v8a", "armeabi-v7a", "x86_64") }
        consumerProguardFiles("consumer-rules.pro")
    }

    sourceSets["main"].kotlin.srcDirs(made.resolve("kotlin"), "../src/main/kotlin", "src/main/kotlin")
    sourceSets["main"].jniLibs.srcDir(made.resolve("jniLibs"))

    // Mapped from the APK as they are: needs the 16 KB alignment that `build-android` links with.
    packaging { jniLibs.useLegacyPackaging = false }

    compileOptions {
        sourceCompatibility = JavaVersion.VERSION_17
        targetCompatibility = JavaVersion.VERSION_17
    }
    kotlinOptions { jvmTarget = "17" }

    publishing { singleVariant("release") { withSourcesJar() } }
}

dependencies {
    // The AAR brings JNA's own native part for each ABI; the plain jar does not.
    api("net.java.dev.jna:jna:5.19.1@aar")
    api("org.jetbrains.kotlinx:kotlinx-coroutines-android:1.11.0")
}

publishing {
    publications {
        register<MavenPublication>("release") {
            artifactId = "fallaway-android"
            afterEvaluate { from(components["release"]) }
        }
    }
}
